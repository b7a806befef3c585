"""What one machine's visit takes from the shelf, as its job card says it: substitutes beside."""

from collections.abc import Sequence
from dataclasses import dataclass

from fleet.models import Part
from fleet.quantities import show_volume
from scheduling.models import PlannedWork
from scheduling.queries.planned_parts import PlannedParts
from scheduling.queries.shelf_needs import add_up


@dataclass(frozen=True)
class CardTake:
    """A part or fluid, and how much of it; instead: what is taken of other parts in its place."""

    name: str
    much: str
    instead: tuple[str, ...] = ()


def card_takes(works: Sequence[PlannedWork], planned: PlannedParts, units: str) -> list[CardTake]:
    """Return what some work takes, in the units of its yard; needs are fetched already."""
    stand_ins = [one for work in works for one in planned.stand_ins(work.work_key)]
    found = []
    for need in add_up(works):
        much = show_volume(need.quantity, units) if need.fluid else f"{need.quantity:g}"
        said: dict[Part, float] = {}
        for one in stand_ins:
            if one.named == need.part:
                said[one.part] = said.get(one.part, 0.0) + one.quantity
        instead = (f"take {quantity:g} {part} in its place" for part, quantity in said.items())
        found.append(CardTake(need.name, much, tuple(instead)))
    return found
