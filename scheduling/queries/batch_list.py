"""A mechanic's shop day as they work it: which machines, in which order, what for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from fleet.models import Limit, Person, Release, ServiceRecord
from scheduling.models import DuePoint, PlannedJob, PlannedWork
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


@dataclass(frozen=True)
class ListedJob:
    """One machine's visit with its work."""

    job: PlannedJob
    work: list[ListedWork]

    @property
    def done(self) -> bool:
        """Whether all of its work is done."""
        return all(each.done for each in self.work)


@dataclass(frozen=True)
class BatchList:
    """A mechanic's day: jobs in order, and what they have written into the book that day."""

    mechanic: Person
    day: date
    jobs: list[ListedJob]
    published: bool
    records: list[ServiceRecord]

    @property
    def open_jobs(self) -> list[ListedJob]:
        """Jobs with work left."""
        return [each for each in self.jobs if not each.done]

    @property
    def minutes_left(self) -> int:
        """Planned minutes of the jobs that are left."""
        return sum(each.job.minutes for each in self.open_jobs)

    @property
    def open_work(self) -> list[PlannedWork]:
        """Work that is left, for the pull list."""
        return [each.work for job in self.jobs for each in job.work if not each.done]


def jobs_with_work() -> QuerySet[PlannedJob]:
    """Return planned jobs with all that a list of them shows; the number of queries is fixed."""
    return PlannedJob.objects.select_related(
        "plan__shop", "mechanic", "machine__now", "machine__yard", "machine__makeup__machine_class"
    ).prefetch_related(
        "machine__alterations",
        "work__machine__makeup",
        "work__finding",
        "work__due_point",
        "work__service__skill",
        "work__service__cautions",
        "work__service__steps",
        "work__service__limits",
    )


def batch_list(mechanic: Person, day: date) -> BatchList:
    """Return one mechanic's list for one shop day."""
    jobs = list(jobs_with_work().filter(mechanic=mechanic, day=day))
    done = done_work([work for job in jobs for work in job.work.all()], jobs)
    return BatchList(
        mechanic,
        day,
        [
            ListedJob(job, [ListedWork(work, work.pk in done) for work in job.work.all()])
            for job in jobs
        ],
        _published(mechanic, day),
        list(_written(mechanic, day)),
    )


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


def _published(mechanic: Person, day: date) -> bool:
    """Whether the last published plan of the shop reaches this day."""
    release = Release.objects.filter(shop=mechanic.shop_id).first()
    return release is not None and release.first_day <= day <= release.last_day


def _written(mechanic: Person, day: date) -> QuerySet[ServiceRecord]:
    """What the mechanic wrote into the book on that day of the shop."""
    if mechanic.shop is None:
        return ServiceRecord.objects.none()
    from_, to = mechanic.shop.span_of(day)
    return ServiceRecord.objects.filter(
        done_by=mechanic, done_at__gte=from_, done_at__lt=to, corrected_by=None, void=False
    ).select_related("machine", "service")
