"""Planned jobs as the grid of the shop days shows them, and which of them are wanted."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q, QuerySet

from fleet.models import Machine, MachineClass, Person, Skill, Yard
from fleet.queries.mine import shops_in_sight
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.queries.plan_loads import skill_of


@dataclass(frozen=True)
class WantedJobs:
    """Which jobs are looked at; what is left out does not narrow."""

    mechanic: Person | None = None
    machine_class: MachineClass | None = None
    yard: Yard | None = None
    skill: Skill | None = None

    def names(self, person: Person) -> bool:
        """Whether the row of a mechanic is wanted."""
        return self.mechanic is None or self.mechanic == person

    def takes(self, job: PlannedJob) -> bool:
        """Whether a job is wanted."""
        return self._takes(job.machine, job.work.all())

    def takes_work(self, work: PlannedWork) -> bool:
        """Whether work without a day is wanted; it has no mechanic yet."""
        return self._takes(work.machine, [work])

    def _takes(self, machine: Machine, work: Iterable[PlannedWork]) -> bool:
        if self.machine_class and machine.makeup.machine_class_id != self.machine_class.pk:
            return False
        if self.yard and machine.yard_id != self.yard.pk:
            return False
        return not self.skill or any(skill_of(one) == self.skill.name for one in work)


def grid_jobs(plan: Plan | None, first: date, last: date) -> list[PlannedJob]:
    """Return a plan's jobs of some days with what a line of them shows; two queries.

    All of them share the plan: fetched beside each, its costs and weeks would be read as often.
    """
    if plan is None:
        return []
    on_days = Q(day__range=(first, last)) | Q(day__lt=first, last_day__gte=first)
    jobs = list(_with_lines(PlannedJob.objects.filter(on_days, plan=plan)))
    for job in jobs:
        job.plan = plan
    return jobs


def _with_lines(rows: QuerySet[PlannedJob]) -> QuerySet[PlannedJob]:
    work = PlannedWork.objects.select_related("service__skill", "finding__skill")
    return rows.select_related(
        "mechanic", "second", "machine__yard", "machine__makeup__machine_class"
    ).prefetch_related(Prefetch("work", work))


def grid_job(pk: int, person: Person) -> PlannedJob | None:
    """Return one job as it opens, if a person may look at its shop; two queries."""
    rows = PlannedJob.objects.filter(pk=pk, plan__shop__in=shops_in_sight(person))
    return _with_lines(rows).select_related("plan__shop").first()
