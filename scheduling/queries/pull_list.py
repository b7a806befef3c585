"""Parts and fluids for a shop day, added up, against the shelf; and the tools to bring."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Sum, prefetch_related_objects

from fleet.models import Machine, Part, Service, Shop, StockMovement
from fleet.procedures import needs_on_build, steps_on_build, traits_of_machine
from fleet.procedures.sized_tools import sized
from scheduling.models import PlannedWork
from scheduling.queries.in_its_place import NEARLY, InItsPlace, in_its_place
from scheduling.queries.planned_parts import PlannedParts, planned_parts
from scheduling.queries.shelf_needs import Need, add_up, needs_of


@dataclass(frozen=True)
class Pull:
    """One thing to fetch in one trip: how much, and how much is on the shelf (None: not kept).

    work: what takes it.  instead: what is pulled in its place.  without: some of the work will
    neither have it nor what does in its place on its day, since other work has it.
    """

    need: Need
    on_hand: float | None
    work: tuple[PlannedWork, ...] = ()
    instead: tuple[InItsPlace, ...] = ()
    without: bool = False

    @property
    def containers(self) -> int | None:
        """Whole containers to take of a fluid; None where the size of one is not known."""
        size = self.need.part.container_ml if self.need.part and self.need.fluid else None
        return math.ceil(self.need.quantity / size - 1e-6) if size else None

    @property
    def of_itself(self) -> float:
        """How much of the part itself is pulled."""
        return max(self.need.quantity - sum(one.quantity for one in self.instead), 0.0)

    @property
    def short(self) -> bool:
        """Whether the shelf gives less than is needed, with what does in its place."""
        return self.without or self.lacks > NEARLY

    @property
    def lacks(self) -> float:
        """How much of what is pulled of itself does not lie there; of what is not kept, nothing."""
        if self.on_hand is None:
            return 0.0
        return max(self.of_itself - max(self.on_hand, 0.0), 0.0)


@dataclass(frozen=True)
class PullList:
    """What to fetch from a shop's shelf, which tools to bring, and places no part is set up for.

    planned: which parts the work of the whole plan takes, substitutes among them.
    """

    pulls: list[Pull] = field(default_factory=list)
    tools: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    shop: Shop | None = None
    planned: PlannedParts = field(default_factory=PlannedParts)

    @property
    def short(self) -> list[Pull]:
        """What the shelf cannot give."""
        return [pull for pull in self.pulls if pull.short]


def pull_list(
    work: Sequence[PlannedWork],
    shop: Shop | None,
    today: date,
    begun: Sequence[PlannedWork] = (),
) -> PullList:
    """Add up what this work takes from the shop's shelf; the number of queries is fixed.

    begun: work whose parts were fetched before; its tools are brought all the same.
    """
    planned = planned_parts(shop, today)
    pulls = pulls_of(work, shop, planned)  # first: it fetches what the others look at
    tools = tools_of([*work, *begun])
    return PullList(pulls, tools, sorted(set(_unknown(work))), shop, planned)


def pulls_of(work: Sequence[PlannedWork], shop: Shop | None, planned: PlannedParts) -> list[Pull]:
    """Add up what to fetch alone, without tools; the number of queries is fixed."""
    needs = needs_of(work)
    parts = {need.part.pk for need in needs if need.part}
    rows = StockMovement.objects.filter(shop=shop, part__in=parts).values_list("part")
    on_hand = dict(rows.annotate(Sum("quantity")).order_by())
    takers = _takers(work)
    return [_pull(need, on_hand, tuple(takers[need.name, need.part]), planned) for need in needs]


def _takers(work: Sequence[PlannedWork]) -> dict[tuple[str, Part | None], list[PlannedWork]]:
    """Return name and part of a need -> the work that takes it, in order."""
    takers = defaultdict(list)
    for one in work:
        for place in dict.fromkeys((each.name, each.part) for each in add_up([one])):
            takers[place].append(one)
    return takers


def _pull(
    need: Need, on_hand: dict[int, float], takes: tuple[PlannedWork, ...], planned: PlannedParts
) -> Pull:
    """Say what is pulled, of the part itself and in its place."""
    part = need.part
    if part is None:
        return Pull(need, None, takes)
    without = any(planned.lacks(one.work_key, part) for one in takes)
    instead = in_its_place(part, takes, planned)
    return Pull(need, on_hand.get(part.pk, 0.0), takes, instead, without)


def tools_of(work: Sequence[PlannedWork]) -> list[str]:
    """Return every tool and socket that the steps name, once; a step may name several.

    Each with the size that the make-up gives.  What is not done on a build asks for no tool.
    """
    prefetch_related_objects([each for each in work if each.service], "machine__makeup__figures")
    named = [
        sized(step.tool, {one.name: one for one in each.machine.makeup.figures.all()})
        for each in work
        if each.service
        for step in steps_on_build(each.service, traits_of_machine(each.machine))
        if step.tool
    ]
    return sorted({tool.strip() for names in named for tool in names.split(",") if tool.strip()})


def _unknown(work: Sequence[PlannedWork]) -> list[str]:
    """Name the places for which a make-up has neither fluid nor part, so that nobody guesses."""
    return [
        f"{place} of {each.machine.makeup}"
        for each in work
        if each.service
        for place in _places_without_part(each.service, each.machine)
    ]


def _places_without_part(service: Service, machine: Machine) -> list[str]:
    makeup, traits = machine.makeup, traits_of_machine(machine)
    known = {fluid.place.casefold() for fluid in makeup.fluids.all()}
    known |= {fit.place.casefold() for fit in makeup.fitting_parts.all()}
    needs = needs_on_build(service, traits)
    return [need.place for need in needs if need.place.casefold() not in known]
