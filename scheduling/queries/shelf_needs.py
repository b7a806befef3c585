"""What planned work takes from the shelf: parts and fluids by place, added up."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from django.db.models import QuerySet, prefetch_related_objects

from fleet.models import Machine, Part, Service
from fleet.procedures import needs_on_build, traits_of_machine
from scheduling.models import PlannedWork


@dataclass(frozen=True)
class Need:
    """One part or fluid: pieces, or mL of a fluid.  part is None where none is kept for it."""

    name: str
    quantity: float
    fluid: bool
    part: Part | None = None


ON_BUILD = ("service__needs", "service__steps", "machine__alterations")
"""What has to be fetched of work, with its make-up, to say what it takes."""


def needs_of(work: Iterable[PlannedWork] | QuerySet[PlannedWork]) -> list[Need]:
    """Add up what this work needs, fluids first; a constant number of queries."""
    rows = [each for each in work if each.service_id]
    prefetch_related_objects(
        rows,
        *ON_BUILD,
        "machine__makeup__fluids__part",
        "machine__makeup__fitting_parts__part",
    )
    return add_up(rows)


class Taking(Protocol):
    """Work that takes parts: its service, and the machine that it is done to."""

    @property
    def service(self) -> Service | None: ...  # noqa: D102  named by the class

    @property
    def machine(self) -> Machine: ...  # noqa: D102  named by the class


def add_up(work: Iterable[Taking]) -> list[Need]:
    """Add up needs that are already fetched with their services and make-ups; no query."""
    total: dict[tuple[str, int | None, bool], Need] = {}
    for each in work:
        if each.service is None:
            continue
        for need in _of_service(each.service, each.machine):
            place = (need.name, need.part.pk if need.part else None, need.fluid)
            before = total[place].quantity if place in total else 0.0
            total[place] = Need(need.name, before + need.quantity, need.fluid, need.part)
    return sorted(total.values(), key=lambda need: (not need.fluid, need.name))


def _of_service(service: Service, machine: Machine) -> list[Need]:
    """What one service takes on one machine, by the places that it and the make-up name."""
    found = []
    makeup = machine.makeup
    for need in needs_on_build(service, traits_of_machine(machine)):
        place = need.place.casefold()
        for fluid in makeup.fluids.all():
            if fluid.place.casefold() == place:
                name = str(fluid.part) if fluid.part else str(fluid)
                found.append(Need(name, fluid.capacity_ml * need.share, True, fluid.part))
        for fit in makeup.fitting_parts.all():
            if fit.place.casefold() == place:
                found.append(Need(str(fit.part), fit.quantity * need.share, False, fit.part))
    return found
