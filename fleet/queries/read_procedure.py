"""A procedure as it reads on the make-ups that it is done on."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.models import Interval, MakeUp, Service, ServiceStep, StepPicture
from fleet.procedures import FilledStep, OnMachine, fill_steps, on_makeup
from fleet.procedures.following_jobs import following_jobs
from fleet.procedures.library import library
from fleet.procedures.steps_of_machines import OF_MAKEUP

MOST = 4
"""On so many make-ups a changed step is shown before it is kept."""


@dataclass(frozen=True)
class ReadOn:
    """One step as it reads on a make-up; None where it is not done on that build."""

    makeup: MakeUp
    step: FilledStep | None


def makeups_of(service: Service) -> list[MakeUp]:
    """Return the make-ups on which a service recurs, or those of the class that it was made for."""
    rows = MakeUp.objects.select_related("machine_class")
    recurs = list(rows.filter(intervals__service=service).distinct())
    if recurs:
        return recurs
    copy = getattr(service, "library_copy", None)
    kinds = [
        kind for kind in library() if copy and copy.code in {one.code for one in kind.procedures}
    ]
    return [row for row in rows if any(kind.named_in(row.machine_class.name) for kind in kinds)]


def makeups_of_each(services: Collection[Service]) -> dict[int, list[MakeUp]]:
    """Return service -> the make-ups of `makeups_of`, and those with a limit of their own.

    services: with their limits and their copy of the library.  What goes into steps is fetched:
    seven queries at most, however many services.
    """
    rows = list(MakeUp.objects.select_related("machine_class").prefetch_related(*OF_MAKEUP))
    recurs: dict[int, set[int]] = {service.pk: set() for service in services}
    rules = Interval.objects.filter(service__in=list(recurs)).exclude(makeup=None).order_by()
    for pk, makeup in rules.values_list("service", "makeup"):
        recurs[pk].add(makeup)
    for service in services:
        copy = getattr(service, "library_copy", None)
        if copy and not recurs[service.pk]:
            kinds = [k for k in library() if copy.code in {one.code for one in k.procedures}]
            recurs[service.pk] = {
                row.pk for row in rows if any(k.named_in(row.machine_class.name) for k in kinds)
            }
        recurs[service.pk] |= {one.makeup_id for one in service.limits.all() if one.makeup_id}
    return {pk: [row for row in rows if row.pk in found] for pk, found in recurs.items()}


def read_on(service: Service, makeup: MakeUp | None, units: str) -> list[FilledStep]:
    """Return all steps as they read on a make-up; without one, as they stand."""
    steps = service.steps.select_related("caution", "picture").order_by("position", "pk")
    fitted = on_makeup(makeup, units) if makeup else OnMachine(makeup_id=0, units=units)
    return fill_steps(steps, service.limits.all(), fitted)


@dataclass(frozen=True)
class CalledJob:
    """What is measured, and the job that is due past its limit.  source: how that is known."""

    name: str
    then: Service
    source: str


def calls_of(service: Service) -> list[CalledJob]:
    """Return what the measures of a service call for, each once; one query."""
    rows = service.limits.exclude(then=None).select_related("then").order_by("name", "pk")
    found: dict[tuple[str, Service], CalledJob] = {}
    for row in rows:
        if row.then is None:
            continue
        job = following_jobs().get(row.then.code)
        known = job.source if job and row.name in job.limits else ""
        found.setdefault((row.name, row.then), CalledJob(row.name, row.then, known))
    return list(found.values())


def step_on_each(step: ServiceStep, units: str) -> list[ReadOn]:
    """Return how a step, kept or not yet, reads on the make-ups of its service."""
    limits = list(step.service.limits.filter(name=step.measures)) if step.measures else []
    return [
        ReadOn(makeup, next(iter(fill_steps([step], limits, on_makeup(makeup, units))), None))
        for makeup in makeups_of(step.service)[:MOST]
    ]


def steps_to_change(service: Service) -> QuerySet[ServiceStep]:
    """Return the rows of a service's steps."""
    return service.steps.select_related("service", "picture")


def step_pictures() -> QuerySet[StepPicture]:
    """Return the pictures of steps, those that were shown before too."""
    return StepPicture.objects.all()


def step_numbers(service: Service) -> dict[str, int]:
    """Return the name of each step and the number of its row."""
    return dict(service.steps.values_list("key", "pk"))
