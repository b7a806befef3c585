"""Which machines of the demo play which part in the walk, found by what they are on that day."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Sum

from fleet.models import Booking, HandOver, Machine, Person
from fleet.quantities import plain_use
from scheduling.models import Block, DuePoint, PlannedJob, PlannedWork, State

HARD_USE = 9.0
"""Hours a day that the quiet machine turns out to have run: more than any forecast expects."""
A_WHILE = timedelta(days=2)
PUBLISHED = timedelta(days=28)
"""How far ahead the walk publishes."""


@dataclass(frozen=True)
class Dial:
    """One meter of a machine and what it showed last, in the yard's units."""

    meter: int
    kind: str
    last: float

    def more(self, step: float) -> str:
        """Return what it shows after so many more hours, miles or cycles, as it is typed."""
        return f"{self.last + step:.1f}"


@dataclass(frozen=True)
class Part:
    """One machine with its meters, and for how many days none of them was read."""

    tag: str
    machine_class: int
    yard: int
    dials: list[Dial]
    idle_days: float

    @property
    def hours(self) -> Dial:
        """Its hour meter."""
        return next(dial for dial in self.dials if dial.kind == "hours")


@dataclass(frozen=True)
class Moving:
    """A machine whose next reading brings a service much nearer."""

    machine: Part
    service: str
    remaining: float
    p50: date
    step: float


@dataclass(frozen=True)
class Cast:
    """All parts.

    overdue: barred, but not hard, and free today; work_key, work_day: what bars it, and when it is
    planned; pin_day: a later day on which our mechanic has room for it.
    """

    moving: Moving
    slipping: Part
    filed: Part
    backwards: Part
    returning: Part
    returning_booking: int
    overdue: Part
    overdue_service: str
    work_key: str
    work_day: date
    pin_day: date
    held: Part
    today: date


class Casting:
    """Finds each part in the site's database; every machine plays one part."""

    def __init__(self, alias: str, now: datetime) -> None:
        self.alias, self.now, self.taken = alias, now, set[str]()
        self.mechanic = Person.objects.using(alias).get(username="ingrid")
        self.shop = self.mechanic.shop
        assert self.shop is not None
        self.today = now.astimezone(self.shop.zone).date()

    def cast(self) -> Cast:
        """Give out the parts, the rarest first."""
        work, pin_day = next(self._overdue())
        overdue = self._take(work.due_point.machine)
        held = self._take(next(self._held()))
        out = next(self._out())
        returning = self._take(out.machine)
        moving = self._moving()
        rest = (self._take(machine) for machine in self._quiet())
        return Cast(
            moving=moving, slipping=next(rest), filed=next(rest), backwards=next(rest),
            returning=returning, returning_booking=out.pk, overdue=overdue,
            overdue_service=work.due_point.service.name, work_key=work.work_key,
            work_day=work.job.day, pin_day=pin_day, held=held, today=self.today,
        )  # fmt: skip

    def _take(self, machine: Machine) -> Part:
        self.taken.add(machine.tag)
        return part(machine, self.now)

    def _overdue(self) -> Iterator[tuple[PlannedWork, date]]:
        """Yield what bars a machine that is free today, and a day to which it may be pinned.

        Our mechanic has the skills for all that bars it.  Its one meter counts hours, as the
        walk reads them.  Work of a near yard that no wider service covers comes first: a far
        yard takes no visits on some days, and a plan may have the wider one done in its place.
        """
        skills = set(self.mechanic.skills.values_list("pk", flat=True))
        work = PlannedWork.objects.using(self.alias).filter(
            job__isnull=False, due_point__state=State.OVERDUE, due_point__hard=False,
            due_point__blocks__kind=Block.Kind.OVERDUE,
        )  # fmt: skip
        rows = work.select_related("due_point__service", "due_point__machine", "job")
        for one in sorted(rows, key=_is_hard_to_pin):
            machine = one.due_point.machine
            barring = machine.due_points.filter(
                state__in=(State.DUE, State.OVERDUE), service__blocks_rental=True
            )
            needed = set(barring.exclude(service__skill=None).values_list("service__skill"))
            fitted = set(machine.meters.filter(removed_at=None).values_list("kind", flat=True))
            able = needed <= {(pk,) for pk in skills} and fitted == {"hours"}
            pin_day = self._day_with_room(one)
            if able and pin_day and self._free(machine):
                yield one, pin_day

    def _day_with_room(self, work: PlannedWork) -> date | None:
        """Return the day on which our mechanic has most room: a pin there is kept.

        After today, soon enough to be published, and not while the machine is promised.
        """
        hours = dict(self.mechanic.working_hours.values_list("weekday", "hours"))
        jobs = PlannedJob.objects.using(self.alias).filter(
            mechanic=self.mechanic, day__gt=self.today, day__lte=self.today + PUBLISHED
        )
        taken = jobs.exclude(machine=work.machine_id).order_by().values_list("day")
        room = {
            day: 60 * hours.get(day.weekday(), 0) - minutes
            for day, minutes in taken.annotate(Sum("minutes"))
            if not self._promised(work.machine, day)
        }
        return max(room, key=lambda day: (room[day], day), default=None)

    def _promised(self, machine: Machine, day: date) -> bool:
        """Whether a booking has the machine on that day."""
        having = machine.bookings.filter(first_day__lte=day, last_day__gte=day)
        return having.filter(cancelled_at=None).exists()

    def _free(self, machine: Machine) -> bool:
        barred = machine.blocks.filter(hard=True, first_day__lte=self.today)
        promised = self._promised(machine, self.today)
        return not (barred.exists() or promised or _is_out(machine))

    def _held(self) -> Iterator[Machine]:
        for hold in Block.objects.using(self.alias).filter(kind=Block.Kind.HOLD):
            yield hold.machine

    def _out(self) -> Iterator[Booking]:
        rows = Booking.objects.using(self.alias).filter(cancelled_at=None)
        for booking in rows.filter(hand_overs__direction=HandOver.Direction.OUT):
            back = booking.hand_overs.filter(direction=HandOver.Direction.BACK).exists()
            if not back and self._may_be_read(booking.machine):
                yield booking

    def _moving(self) -> Moving:
        points = DuePoint.objects.using(self.alias).filter(
            meter_kind="hours", driver=DuePoint.Driver.METER, p50__isnull=False,
            machine__now__state__in=(State.CLEAR, State.COMING_DUE),
        )  # fmt: skip
        for point in points.select_related("machine", "service").order_by("p50", "machine__tag"):
            if not (self._may_be_read(point.machine) and self._free(point.machine)):
                continue
            machine = part(point.machine, self.now)
            step = round(HARD_USE * machine.idle_days, 1)
            if point.remaining > step + 2 and len(machine.dials) == 1:
                self.taken.add(machine.tag)
                return Moving(machine, point.service.name, point.remaining, point.p50, step)
        raise LookupError("the demo has no machine whose reading would move its forecast")

    def _quiet(self) -> Iterator[Machine]:
        rows = Machine.objects.using(self.alias).filter(retired_on=None, yard__shop=self.shop)
        for machine in rows.filter(meters__kind="hours").order_by("tag").distinct():
            if self._may_be_read(machine) and len(part(machine, self.now).dials) == 1:
                yield machine

    def _may_be_read(self, machine: Machine) -> bool:
        """Whether it has no part yet and was last read a while ago, so that a reading fits."""
        if machine.tag in self.taken:
            return False
        found = part(machine, self.now)
        return bool(found.dials) and found.idle_days > A_WHILE / timedelta(days=1)


def part(machine: Machine, now: datetime) -> Part:
    """Return a machine with the last standing reading of each of its meters."""
    dials, newest = [], None
    for meter in machine.meters.filter(removed_at=None).order_by("kind"):
        standing = meter.readings.filter(corrected_by=None, void=False)
        last = standing.order_by("-read_at").first()
        if last is None:
            return Part(machine.tag, 0, 0, [], 0.0)
        shown = plain_use(last.value, meter.kind, machine.yard.units)
        dials.append(Dial(meter.pk, meter.kind, float(shown)))
        newest = max(newest or last.read_at, last.read_at)
    days = (now - newest) / timedelta(days=1) if newest else 0.0
    return Part(machine.tag, machine.makeup.machine_class_id, machine.yard_id, dials, days)


def _is_hard_to_pin(work: PlannedWork) -> tuple[bool, bool]:
    """Whether its yard is far, and visited on some days alone; whether wider work covers it."""
    assert work.due_point
    machine = work.due_point.machine
    wider = machine.due_points.filter(
        service__coverings__makeup=machine.makeup_id,
        service__coverings__covered=work.due_point.service_id,
    )
    return machine.yard.remote, wider.exists()


def _is_out(machine: Machine) -> bool:
    """Whether it went out on a booking and is not back."""
    gone = machine.bookings.filter(hand_overs__direction=HandOver.Direction.OUT)
    return any(
        not one.hand_overs.filter(direction=HandOver.Direction.BACK).exists() for one in gone
    )
