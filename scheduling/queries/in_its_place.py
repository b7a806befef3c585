"""What is pulled in place of a part that some of a list's work does without, added up."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from fleet.models import Machine, Part
from scheduling.models import PlannedWork
from scheduling.queries.planned_parts import PlannedParts

NEARLY = 1e-6


@dataclass(frozen=True)
class InItsPlace:
    """So many of another part that lie on the shelf; pieces, or mL of a fluid.

    tags: the machines that it is for; empty: all that take the part.  kept: enough of the part
    itself lies there, and other work takes it.
    """

    part: Part
    quantity: float
    tags: tuple[str, ...] = ()
    kept: bool = False


def in_its_place(
    part: Part, takes: Sequence[PlannedWork], planned: PlannedParts
) -> tuple[InItsPlace, ...]:
    """Return what some of the work that takes a part takes in its place; no query."""
    much: defaultdict[Part, float] = defaultdict(float)
    machines: defaultdict[Part, set[Machine]] = defaultdict(set)
    kept: defaultdict[Part, bool] = defaultdict(lambda: True)
    for one in takes:
        for other in planned.stand_ins(one.work_key):
            if other.named == part:
                much[other.part] += other.quantity
                machines[other.part].add(one.machine)
                kept[other.part] &= other.named_is_kept
    everyone = {one.machine for one in takes}
    return tuple(
        InItsPlace(
            other,
            much[other],
            () if machines[other] == everyone else tuple(sorted(m.tag for m in machines[other])),
            kept[other],
        )
        for other in sorted(much, key=lambda each: each.number)
    )
