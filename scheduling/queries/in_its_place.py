"""What is pulled in place of a part that the shelf lacks, as the make-ups name it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from fleet.models import Machine, Part
from scheduling.models import PlannedWork

NEARLY = 1e-6


@dataclass(frozen=True)
class InItsPlace:
    """So many of another part that lie on the shelf; pieces, or mL of a fluid.

    tags: the machines that it does on; empty: all that take the part.
    """

    part: Part
    quantity: float
    tags: tuple[str, ...] = ()


def in_its_place(
    part: Part, lacks: float, takes: Sequence[PlannedWork], spare: Mapping[int, float]
) -> list[InItsPlace]:
    """Return what makes up for what lacks of a part, as far as the shelf goes; no query.

    takes: the work that takes the part.  spare: part -> what the other work leaves of it.
    """
    does: defaultdict[Part, dict[Machine, float]] = defaultdict(dict)
    for one in takes:
        for other, quantity in _named(part, one):
            on = does[other]
            on[one.machine] = on.get(one.machine, 0.0) + quantity
    everyone = {one.machine for one in takes}
    found = []
    for other in sorted(does, key=lambda each: each.number):
        quantity = min(lacks, spare.get(other.pk, 0.0), sum(does[other].values()))
        if part.kind == Part.Kind.PIECE:
            quantity = float(int(quantity + NEARLY))
        if quantity <= NEARLY:
            continue
        tags = () if set(does[other]) == everyone else tuple(sorted(m.tag for m in does[other]))
        found.append(InItsPlace(other, quantity, tags))
        lacks -= quantity
    return found


def _named(part: Part, one: PlannedWork) -> Iterable[tuple[Part, float]]:
    """Return what a machine's make-up names in place of the part, and how many the work takes."""
    for need in one.service.needs.all() if one.service else ():
        for fit in one.machine.makeup.fitting_parts.all():
            if fit.place == need.place and fit.part_id == part.pk and fit.instead:
                yield fit.instead, fit.quantity * need.share
