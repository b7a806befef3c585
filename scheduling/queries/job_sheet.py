"""The sheet of one job: what is to be done to a machine, how, with what, and what bites."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, prefetch_related_objects

from fleet.learnt_minutes import LearntMinutes
from fleet.models import (
    Alteration,
    Caution,
    Finding,
    FindingPhoto,
    Limit,
    Machine,
    Meter,
    Person,
    Progress,
    Reading,
    Service,
    ServiceRecord,
    ServiceStep,
)
from fleet.models.services import ServiceNeed
from fleet.procedures import STEP_ROWS, FilledStep, limits_for, steps_for
from fleet.quantities import show_use
from fleet.queries.covered_services import covered_on
from fleet.queries.last_measured import LastMeasured, last_measured
from fleet.queries.minutes_taken import MinutesTaken
from fleet.queries.standing_readings import last_readings
from fleet.queries.under_way import words_of
from fleet.queries.who_works import workers_at
from fleet.saying import short_date
from fleet.work_keys import repair_key
from scheduling.models import DuePoint, PlannedJob, PlannedWork, State
from scheduling.queries.day_cautions import cautions_of
from scheduling.queries.day_minutes import minutes_left, with_words_since

NEARLY = (State.COMING_DUE, State.DUE, State.OVERDUE)
"""States in which a service is offered on the sheet although it is not planned for the day."""
PAST_FINDINGS = 8
"""So many past findings stand on the sheet; the rest are on the machine's page."""


@dataclass(frozen=True)
class SheetWork:
    """One piece of work on the sheet: a service or a repair, planned for the day or offered.

    minutes: those that are left, of work under way; laid_down: what was said of it last;
    minutes_before: worked on it on earlier days.  also: services of the machine that doing it
    satisfies too.
    """

    work_key: str
    machine: Machine
    service: Service | None
    finding: Finding | None
    due_point: DuePoint | None
    planned: PlannedWork | None
    minutes: int
    laid_down: Progress | None = None
    minutes_before: int = 0
    also: tuple[Service, ...] = ()

    @property
    def title(self) -> str:
        """What is to be done."""
        return str(self.service or self.finding)

    @property
    def service_id(self) -> int | None:
        """As in planned work, so that needs are added up alike."""
        return self.service.pk if self.service else None

    @property
    def second(self) -> Person | None:
        """The second person who is planned for it."""
        return self.planned.job.second if self.planned and self.planned.job else None

    @property
    def second_minutes(self) -> int:
        """Minutes of a second person; 0: one does it alone."""
        source = self.service or self.finding
        return source.second_minutes if source else 0

    @property
    def limits(self) -> list[Limit]:
        """What to measure on this make-up."""
        return limits_of(self.service, self.machine)

    @property
    def inspection(self) -> bool:
        """Whether it is an inspection, which only who holds its certificate may finish."""
        return bool(self.service and self.service.skill and self.service.skill.by_certificate)

    @property
    def asks_required(self) -> bool:
        """Whether it has steps that it is not finished without, on some machine."""
        return bool(self.service and getattr(self.service, "asks_required", True))

    @property
    def cautions(self) -> list[Caution]:
        """The cautions of this work alone, the most serious first."""
        return cautions_of([self])

    @property
    def alterations(self) -> list[Alteration]:
        """Alterations that slow this service."""
        rows = self.machine.alterations.all()
        return [one for one in rows if one.slows_id and one.slows_id == self.service_id]


@dataclass(frozen=True)
class JobSheet:
    """Everything about one machine's visit.

    asked: a service of an occasion that is done now, not planned for the day.
    minutes: left of the planned work on the day, visit and set-ups with it, as on the day's list.
    today: where the day is another one.  added: what a mechanic put on it besides.
    """

    machine: Machine
    day: date
    planned: list[SheetWork]
    offered: list[SheetWork]
    meters: list[Meter]
    past: Iterable[Finding]
    records: Iterable[ServiceRecord]
    minutes: int = 0
    today: date | None = None
    asked: Service | None = None
    added: Sequence[SheetWork] = ()

    @property
    def work(self) -> list[SheetWork]:
        """All work, planned first."""
        return [*self.planned, *self.offered, *self.added]

    @property
    def first(self) -> SheetWork | None:
        """What to begin with."""
        return next(iter(self.work), None)

    @property
    def minutes_in_all(self) -> int:
        """Minutes of the planned work alone, those of later days with it."""
        return sum(one.minutes for one in self.planned)

    @cached_property
    def workers(self) -> Sequence[Person]:
        """Who works in its shop that day; one query once it is asked for."""
        rows = workers_at(self.machine.yard.shop, self.day)
        return list(rows.order_by("first_name", "username"))

    @cached_property
    def last(self) -> Mapping[int, Reading]:
        """What each meter showed last; asked for once it is shown: one query."""
        return last_readings([self.machine.pk])

    @property
    def cautions(self) -> list[Caution]:
        """Cautions of all planned work, each once, the most serious first."""
        return cautions_of(self.planned or self.offered or list(self.added))

    @cached_property
    def steps(self) -> dict[int, list[FilledStep]]:
        """Service -> its steps on this machine; a fixed number of queries once it is asked for."""
        return steps_for(self.machine, [one.service for one in self.work if one.service])

    @property
    def first_step(self) -> FilledStep | None:
        """What to do first; a caution says what to heed, and stands on the page by itself."""
        service = self.first.service if self.first else None
        steps = self.steps.get(service.pk, []) if service else []
        return next((one for one in steps if one.kind != ServiceStep.Kind.CAUTION), None)

    @cached_property
    def _taken(self) -> MinutesTaken:
        return MinutesTaken([self.machine.makeup_id])

    def learnt(self, work: SheetWork) -> LearntMinutes | None:
        """Return how long a service takes here, if that differs enough to be said."""
        if work.service is None:
            return None
        known = self._taken.of(work.service.pk, self.machine.makeup_id, work.service.minutes)
        return known if known.worth_saying else None

    @cached_property
    def measured_before(self) -> LastMeasured:
        """What was measured last of what the sheet asks for, at whatever service; one query."""
        limits = [limit for one in self.work for limit in one.limits]
        return last_measured([self.machine], limits, self.day)

    def say_measured(self, limit: Limit, place: str) -> str:
        """Say what was measured last: "last 3.4 on Thu 3 Dec, 3.6 on Mon 2 Nov"."""
        return self.measured_before.said(self.machine.pk, limit, place)

    def say_last(self, meter: Meter) -> str:
        """Say what a meter showed last: "Last read 412.0 h, Thu 3 Dec"."""
        reading = self.last.get(meter.pk)
        if reading is None:
            return "Never read"
        yard = self.machine.yard
        day = short_date(reading.read_at.astimezone(yard.zone).date(), self.day)
        return f"Last read {show_use(reading.value, meter.kind, yard.units)}, {day}"

    def find(self, work_key: str) -> SheetWork | None:
        """Return the work of that key."""
        return next((one for one in self.work if one.work_key == work_key), None)


def limits_of(service: Service | None, machine: Machine) -> list[Limit]:
    """Return what is measured at a service of this machine: limits of every make-up or its own."""
    rows = service.limits.all() if service else []
    return limits_for(rows, machine.makeup_id)


def fetch_instructions(sheet: JobSheet) -> JobSheet:
    """Fetch what a page shows of the work and a form does not ask: four queries, however much."""
    services = [one.service for one in sheet.work if one.service]
    prefetch_related_objects(services, "cautions", "set_ups", STEP_ROWS)
    altered = Prefetch("alterations", Alteration.objects.select_related("slows"))
    prefetch_related_objects([sheet.machine], altered)
    return sheet


def with_covered_beside(sheet: JobSheet) -> JobSheet:
    """Return a sheet whose work names what doing it satisfies too, of the machine: two queries.

    What planned work covers is not offered beside it: it is ticked with that work.
    """
    makeup = sheet.machine.makeup_id
    covered = covered_on(makeup)
    done_too = {each for one in sheet.planned for each in covered.of(makeup, one.service_id)}
    points = DuePoint.objects.filter(machine=sheet.machine).select_related("service")
    of_machine = sorted((point.service for point in points), key=str)

    def named(work: SheetWork) -> SheetWork:
        does = covered.of(makeup, work.service_id)
        return replace(work, also=tuple(one for one in of_machine if one.pk in does))

    return replace(
        sheet,
        planned=[named(one) for one in sheet.planned],
        offered=[named(one) for one in sheet.offered if one.service_id not in done_too],
        added=[named(one) for one in sheet.added if one.service_id not in done_too],
    )


def sheet_services() -> QuerySet[Service]:
    """Return services with what a sheet asks of them beside what its page shows."""
    required = ServiceStep.objects.filter(service=OuterRef("pk"), required=True)
    rows = Service.objects.annotate(asks_required=Exists(required)).select_related("skill")
    return rows.prefetch_related(
        Prefetch("limits", Limit.objects.order_by("name")),
        Prefetch("needs", ServiceNeed.objects.order_by("place")),
        STEP_ROWS,
    )


def _machine(machines: QuerySet[Machine], tag: str) -> QuerySet[Machine]:
    """Return one of these machines with what its sheet reads of it.

    Not as a combination of two querysets by &, which would drop what the second one fetches.
    """
    rows = machines.filter(tag=tag)
    return rows.select_related("now", "yard__shop", "makeup__machine_class")


def job_sheet(
    machines: QuerySet[Machine], tag: str, day: date, today: date | None = None
) -> JobSheet | None:
    """Return the sheet of a machine for a day, or None if it is not among these machines.

    today: where the day is another one.  For a page that shows it, `fetch_instructions` too.
    """
    machine = _machine(machines, tag).first()
    if machine is None:
        return None
    planned, offered, minutes = _work(machine, day)
    shown = Prefetch("photos", FindingPhoto.objects.filter(struck_at=None))
    past = machine.findings.select_related("seen_by").prefetch_related(shown)
    records = machine.records.filter(corrected_by=None, void=False)
    return JobSheet(
        machine,
        day,
        planned,
        offered,
        list(machine.meters.filter(removed_at=None)),
        past.order_by("-seen_at")[:PAST_FINDINGS],
        records.select_related("service", "done_by")[:PAST_FINDINGS],
        minutes=minutes,
        today=today,
    )


def _work(machine: Machine, day: date) -> tuple[list[SheetWork], list[SheetWork], int]:
    """Return what is planned and what is offered beside it, and the minutes left on the day."""
    rows = list(_planned_rows(machine, day))
    points = list(DuePoint.objects.filter(machine=machine, state__in=NEARLY))
    _fetch_services([*rows, *points])
    planned = _planned(rows, machine)
    keys = {one.work_key for one in planned}
    offered = [one for one in _offered(points, machine) if one.work_key not in keys]
    work = with_words([*planned, *offered])
    return work[: len(planned)], work[len(planned) :], _minutes(rows, day)


def _minutes(rows: Iterable[PlannedWork], day: date) -> int:
    of_job: dict[PlannedJob, list[tuple[PlannedWork, bool]]] = {}
    for row in rows:
        if row.job is not None:
            of_job.setdefault(row.job, []).append((row, not _still_to_do(row)))
    return sum(minutes_left(job, work, day) for job, work in of_job.items())


def _fetch_services(rows: Iterable[PlannedWork | DuePoint]) -> None:
    """Give rows their services with all that a sheet asks of them: three queries."""
    keys = {row.service_id for row in rows if row.service_id is not None}
    found = {service.pk: service for service in sheet_services().filter(pk__in=keys)}
    for row in rows:
        if row.service_id is not None:
            row.service = found[row.service_id]


def with_words(work: list[SheetWork]) -> list[SheetWork]:
    """Return work with what was said of it since it was last done, where it is under way."""
    words = words_of([one.work_key for one in work])
    return [
        _under_way(
            one, [word for word in words.get(one.work_key, ()) if not _done_since(one, word)]
        )
        for one in work
    ]


def _under_way(work: SheetWork, said: Sequence[Progress]) -> SheetWork:
    if not said:
        return work
    done = sum(word.minutes for word in said)
    return replace(work, laid_down=said[-1], minutes=said[-1].minutes_left, minutes_before=done)


def _done_since(work: SheetWork, word: Progress) -> bool:
    """Whether the book shows the work as done on or after the day on which the word was said."""
    done = work.due_point.last_done_on if work.due_point else None
    return done is not None and done >= word.at.astimezone(work.machine.yard.shop.zone).date()


def _planned_rows(machine: Machine, day: date) -> QuerySet[PlannedWork]:
    of_day = Q(job__day=day) | Q(job__day__lt=day, job__last_day__gte=day)
    rows = PlannedWork.objects.filter(of_day, machine=machine).order_by("position", "pk")
    return with_words_since(rows).select_related(
        "plan", "finding", "due_point", "job__mechanic", "job__second"
    )


def _planned(rows: Iterable[PlannedWork], machine: Machine) -> list[SheetWork]:
    return [
        SheetWork(row.work_key, machine, row.service, row.finding, row.due_point, row, row.minutes)
        for row in rows
        if _still_to_do(row) and not row.put_off
    ]


def _still_to_do(row: PlannedWork) -> bool:
    """Work of the day that the book does not yet show as done."""
    if row.finding:
        return row.finding.settled_at is None
    point = row.due_point
    return not (point and point.last_done_on and point.last_done_on >= row.plan.first_day)


def _offered(points: Iterable[DuePoint], machine: Machine) -> list[SheetWork]:
    """Services that are nearly due, and defects not yet seen to."""
    # A finding that calls for a service is offered as that service, and settled with it.
    defects = machine.findings.filter(
        ~Q(gravity=Finding.Gravity.NOTE), settled_at=None, calls_for=None
    )
    return [
        *(
            SheetWork(
                point.work_key,
                machine,
                point.service,
                None,
                point,
                None,
                point.service.minutes,
            )
            for point in points
        ),
        *(
            SheetWork(repair_key(finding.pk), machine, None, finding, None, None, finding.minutes)
            for finding in defects
        ),
    ]
