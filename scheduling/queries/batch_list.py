"""A mechanic's shop day as they work it: which machines, in which order, what for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Prefetch, Q, QuerySet, prefetch_related_objects

from fleet.models import Limit, Person, Release, ServiceRecord, Shop
from fleet.procedures import FilledStep, steps_for
from fleet.queries.standing_records import standing_records
from fleet.queries.who_works import shop_on
from scheduling.models import DuePoint, PlannedJob, PlannedWork
from scheduling.queries.day_minutes import minutes_left, with_words_since
from scheduling.queries.job_sheet import limits_of


@dataclass(frozen=True)
class ListedWork:
    """One piece of planned work, and whether the book says by now that it is done."""

    work: PlannedWork
    done: bool

    @property
    def limits(self) -> list[Limit]:
        """What to measure on this machine."""
        return limits_of(self.work.service, self.work.machine)

    @property
    def steps(self) -> list[FilledStep]:
        """Its steps on this machine; `with_steps` has fetched what goes into them."""
        service = self.work.service
        return steps_for(self.work.machine, [service])[service.pk] if service else []


@dataclass(frozen=True)
class ListedJob:
    """One machine's visit with its work, as it stands on one day.

    day: the day that is looked at (of a job over several days, not always its first).  why: why it
    comes where it does in the order of the day, where that was asked.
    """

    job: PlannedJob
    work: Sequence[ListedWork]
    day: date
    why: str = ""

    @property
    def done(self) -> bool:
        """Whether all of its work is done."""
        return all(each.done for each in self.work)

    @property
    def minutes(self) -> int:
        """Planned minutes of the mechanic on this day."""
        return self.job.minutes_on(self.day)

    @property
    def minutes_left(self) -> int:
        """Minutes that it still takes of the mechanic on this day."""
        return minutes_left(self.job, [(each.work, each.done) for each in self.work], self.day)

    @property
    def open_work(self) -> Sequence[ListedWork]:
        """Work that is neither done nor put off."""
        return [each for each in self.work if not each.done and not each.work.put_off]

    @property
    def begun(self) -> bool:
        """Whether some of the work is under way."""
        return any(each.work.begun and not each.done for each in self.work)

    @property
    def laid_aside(self) -> bool:
        """Whether nothing of it is left for this day, though not all of it is done."""
        left = [each.work for each in self.open_work if each.work.left_since is None]
        return not left and not self.done

    @property
    def goes_on(self) -> bool:
        """Whether it goes on over several days."""
        return self.job.ends > self.job.day

    @property
    def with_second(self) -> list[PlannedWork]:
        """The work that a second person is needed for."""
        return [each.work for each in self.work if not each.done and each.work.second_minutes]


@dataclass(frozen=True)
class BatchList:
    """A mechanic's day: jobs in order, and what they have written into the book that day.

    helps: jobs of others at which they are the second person; shop: where they work that day.
    """

    mechanic: Person
    day: date
    jobs: list[ListedJob]
    published: bool
    records: list[ServiceRecord]
    helps: list[ListedJob] = field(default_factory=list)
    shop: Shop | None = None

    @property
    def open_jobs(self) -> list[ListedJob]:
        """Jobs with work left for this day."""
        return [each for each in self.jobs if not each.done and not each.laid_aside]

    @property
    def laid_aside(self) -> list[ListedJob]:
        """Jobs of which all that is not done was put off, or left for another day."""
        return [each for each in self.jobs if each.laid_aside]

    @property
    def unplanned(self) -> bool:
        """Whether nothing is planned on it, neither a job nor help; something may be written."""
        return not (self.jobs or self.helps)

    @property
    def minutes_left(self) -> int:
        """Planned minutes of the jobs that are left, help to others included."""
        own = sum(each.minutes_left for each in self.open_jobs)
        return own + sum(each.job.second_minutes for each in self.open_helps)

    @property
    def open_helps(self) -> list[ListedJob]:
        """Jobs of others at which help is still needed."""
        return [each for each in self.helps if not each.done]

    @property
    def work_beside(self) -> list[PlannedWork]:
        """Work that is left, and that of others at which they help: its cautions are theirs too."""
        helped = [each.work for job in self.helps for each in job.open_work]
        return [*self.open_work, *helped]

    @property
    def open_work(self) -> list[PlannedWork]:
        """Work that is left."""
        return [each.work for job in self.jobs for each in job.open_work]

    @property
    def work_to_fetch(self) -> list[PlannedWork]:
        """Work whose parts are fetched this day: a job over several days is fetched for once."""
        return [
            each.work
            for job in self.jobs
            for each in job.open_work
            if job.job.day == self.day and not each.work.begun and each.work.left_since is None
        ]


def jobs_with_work() -> QuerySet[PlannedJob]:
    """Return planned jobs with all that a list of them shows; the number of queries is fixed."""
    return PlannedJob.objects.select_related(
        "plan__shop",
        "mechanic",
        "second",
        "machine__now",
        "machine__yard",
        "machine__makeup__machine_class",
    ).prefetch_related(
        "machine__alterations",
        Prefetch("work", with_words_since(PlannedWork.objects.order_by("position", "pk"))),
        "work__machine__makeup",
        "work__machine__alterations",
        "work__finding",
        "work__due_point",
        "work__service__skill",
        "work__service__cautions",
        "work__service__steps",
        "work__service__limits",
    )


def on_day(day: date) -> Q:
    """Return which jobs stand in the shop on a day: its own, and those that go on over it."""
    return Q(day=day) | Q(day__lt=day, last_day__gte=day)


def listed(jobs: Iterable[PlannedJob], day: date | None = None) -> list[ListedJob]:
    """Return jobs with what of their work is done by now; day: the one looked at, or each's own."""
    jobs = list(jobs)
    done = done_work([work for job in jobs for work in job.work.all()], jobs)
    return [
        ListedJob(
            job,
            [ListedWork(work, work.pk in done) for work in job.work.all()],
            day or job.day,
        )
        for job in jobs
    ]


def batch_list(mechanic: Person, day: date) -> BatchList:
    """Return one mechanic's list for one shop day."""
    shop = shop_on(mechanic, day)
    mine = Q(mechanic=mechanic) & on_day(day) | Q(second=mechanic, day=day)
    rows = jobs_with_work().prefetch_related("work__service__set_ups", "work__service__needs")
    jobs = [job for job in listed(rows.filter(mine), day) if not _put_off(job)]
    return BatchList(
        mechanic,
        day,
        _under_way_first([job for job in jobs if job.job.mechanic_id == mechanic.pk], day),
        _published(shop, day),
        list(_written(mechanic, shop, day)),
        [job for job in jobs if job.job.mechanic_id != mechanic.pk],
        shop,
    )


def with_steps(listed: BatchList) -> BatchList:
    """Fetch what goes into the steps of a list's work; as many queries however long it is."""
    prefetch_related_objects(
        listed.open_work,
        "machine__yard",
        "machine__makeup__fluids__part",
        "machine__makeup__fitting_parts__part",
        "machine__makeup__figures",
        "machine__alterations",
        "service__steps__caution",
        "service__steps__picture",
    )
    return listed


def _put_off(job: ListedJob) -> bool:
    """Whether all that is left of a job was put off: then it has left the list."""
    return not job.open_work and any(not each.done for each in job.work)


def _under_way_first(jobs: list[ListedJob], day: date) -> list[ListedJob]:
    """Put what stands open in a bay before what has not begun; else the plan's order.

    A long job is left out on days on which nobody works on it, as when the shop is shut.
    """
    here = (job for job in jobs if day in job.job.minutes_by_day())
    return sorted(here, key=lambda one: not (one.begun or one.job.day < one.day))


def next_day(mechanic: Person, day: date) -> date | None:
    """Return the first day after this one on which the mechanic has a job, if any."""
    ahead = PlannedJob.objects.filter(mechanic=mechanic, day__gt=day).order_by("day")
    return ahead.values_list("day", flat=True).first()


def done_work(work: Iterable[PlannedWork], jobs: Iterable[PlannedJob]) -> set[int]:
    """Return the keys of planned work that the facts say is done by now.

    A service is done if it, or one that covers it, was last done on or after the plan's first
    day; a repair is done when its finding is settled.
    """
    starts = {job.pk: job.plan.first_day for job in jobs}
    machines = {job.machine_id for job in jobs}
    rows = DuePoint.objects.filter(machine__in=machines)
    last: dict[tuple[int, int | None], date | None] = {
        (machine, service): day
        for machine, service, day in rows.values_list("machine", "service", "last_done_on")
    }

    def is_done(one: PlannedWork) -> bool:
        if one.finding is not None:
            return one.finding.settled_at is not None
        day = last.get((one.machine_id, one.service_id))
        return day is not None and one.job_id is not None and day >= starts[one.job_id]

    return {one.pk for one in work if is_done(one)}


def _published(shop: Shop | None, day: date) -> bool:
    """Whether the last published plan of the shop reaches this day."""
    release = Release.objects.filter(shop=shop).first()
    return release is not None and release.first_day <= day <= release.last_day


def _written(mechanic: Person, shop: Shop | None, day: date) -> QuerySet[ServiceRecord]:
    """What the mechanic wrote into the book on that day of the shop."""
    if shop is None:
        return ServiceRecord.objects.none()
    from_, to = shop.span_of(day)
    return (
        standing_records()
        .filter(done_by=mechanic, done_at__gte=from_, done_at__lt=to)
        .select_related("machine", "service")
    )
