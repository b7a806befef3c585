"""What a job sheet takes from the shelf: each part with what is typed in for it beforehand.

A part that has a substitute stands there with it, whichever of both the pull list gives: what was
really taken is for the mechanic to say.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db.models import Prefetch, prefetch_related_objects

from fleet.models import Alteration, FittingPart, Fluid, Part
from fleet.procedures import needs_on_build, traits_of_machine
from scheduling.queries.job_sheet import JobSheet, SheetWork
from scheduling.queries.planned_parts import StandsIn, planned_parts
from scheduling.queries.shelf_needs import add_up


@dataclass(frozen=True)
class SheetTake:
    """One part or fluid of a sheet; quantity: pieces or mL that the work takes of it by itself.

    does_for: the part in whose place it does, of a substitute.
    """

    part: Part
    name: str
    quantity: float
    fluid: bool
    does_for: Part | None = None


@dataclass(frozen=True)
class FilledTake:
    """What is typed in beforehand: pieces or mL, and why where that is not as the make-up names."""

    quantity: float
    why: str = ""


def sheet_takes(sheet: JobSheet) -> list[SheetTake]:
    """Return what the planned work takes that the shelf keeps; three queries."""
    fluids = Prefetch("makeup__fluids", Fluid.objects.select_related("part"))
    fits = FittingPart.objects.select_related("part", "instead")
    altered = Prefetch("alterations", Alteration.objects.select_related("slows"))
    fitted = Prefetch("makeup__fitting_parts", fits)
    prefetch_related_objects([sheet.machine], fluids, fitted, altered)
    does = _substitutes(sheet.planned)
    found: dict[int, SheetTake] = {}
    for need in add_up(sheet.planned):
        if need.part:
            found[need.part.pk] = SheetTake(need.part, need.name, need.quantity, need.fluid)
            for other in does.get(need.part, ()):
                found.setdefault(other.pk, SheetTake(other, str(other), 0.0, False))
    for part, others in does.items():
        for other in others:
            found[other.pk] = replace(found[other.pk], does_for=part)
    return list(found.values())


def _substitutes(works: Sequence[SheetWork]) -> dict[Part, list[Part]]:
    """Return what does in place of the parts that the work takes."""
    found: dict[Part, list[Part]] = {}
    for work in works:
        traits = traits_of_machine(work.machine)
        needs = needs_on_build(work.service, traits) if work.service else ()
        places = {need.place.casefold() for need in needs}
        for fit in work.machine.makeup.fitting_parts.all():
            if fit.place.casefold() in places and fit.instead and fit.instead != fit.part:
                others = found.setdefault(fit.part, [])
                if fit.instead not in others:
                    others.append(fit.instead)
    return found


def filled_takes(sheet: JobSheet, takes: Sequence[SheetTake]) -> dict[int, FilledTake]:
    """Return what is typed in for each part, by its key; as many queries as the pull list's."""
    filled = {one.part.pk: FilledTake(one.quantity) for one in takes}
    if not any(one.does_for for one in takes):
        return filled
    planned = planned_parts(sheet.machine.yard.shop, sheet.today or sheet.day)
    for work in sheet.planned:
        for one in planned.stand_ins(work.work_key):
            _moved(filled, one)
    return filled


def _moved(filled: dict[int, FilledTake], one: StandsIn) -> None:
    """Type in a substitute in the place of the part that it stands in for."""
    named, other = filled.get(one.named.pk), filled.get(one.part.pk)
    if named is None or other is None:
        return
    filled[one.named.pk] = FilledTake(max(named.quantity - one.quantity, 0.0), named.why)
    filled[one.part.pk] = FilledTake(other.quantity + one.quantity, one.says_why)
