"""A procedure as it reads on the make-ups that it is done on."""

from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.models import MakeUp, Service, ServiceStep, StepPicture
from fleet.procedures import FilledStep, OnMachine, fill_steps, on_makeup
from fleet.procedures.library import library

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


def read_on(service: Service, makeup: MakeUp | None, units: str) -> list[FilledStep]:
    """Return all steps as they read on a make-up; without one, as they stand."""
    steps = service.steps.select_related("caution", "picture").order_by("position", "pk")
    fitted = on_makeup(makeup, units) if makeup else OnMachine(makeup_id=0, units=units)
    return fill_steps(steps, service.limits.all(), fitted)


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
