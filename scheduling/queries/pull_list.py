"""Parts and fluids for a shop day, added up, against the shelf; and the tools to bring."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from django.db.models import Sum

from fleet.makeup_traits import fits
from fleet.models import MakeUp, Part, Service, Shop, StockMovement
from scheduling.models import PlannedWork
from scheduling.queries.in_its_place import NEARLY, InItsPlace, in_its_place
from scheduling.queries.shelf_needs import Need, add_up, needs_of


@dataclass(frozen=True)
class Pull:
    """One thing to fetch in one trip: how much, and how much is on the shelf (None: not kept).

    work: what takes it.  instead: what is pulled in its place of what lacks.
    """

    need: Need
    on_hand: float | None
    work: tuple[PlannedWork, ...] = ()
    instead: tuple[InItsPlace, ...] = ()

    @property
    def containers(self) -> int | None:
        """Whole containers to take of a fluid; None where the size of one is not known."""
        size = self.need.part.container_ml if self.need.part and self.need.fluid else None
        return math.ceil(self.need.quantity / size - 1e-6) if size else None

    @property
    def short(self) -> bool:
        """Whether the shelf holds less than is needed, with what does in its place."""
        return self.lacks - sum(one.quantity for one in self.instead) > NEARLY

    @property
    def lacks(self) -> float:
        """How much of the part itself is not on the shelf; of what is not kept, nothing."""
        if self.on_hand is None:
            return 0.0
        return max(self.need.quantity - max(self.on_hand, 0.0), 0.0)


@dataclass(frozen=True)
class PullList:
    """What to fetch from a shop's shelf, which tools to bring, and places no part is set up for."""

    pulls: list[Pull] = field(default_factory=list)
    tools: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    shop: Shop | None = None

    @property
    def short(self) -> list[Pull]:
        """What the shelf cannot give."""
        return [pull for pull in self.pulls if pull.short]


def pull_list(
    work: Sequence[PlannedWork], shop: Shop | None, begun: Sequence[PlannedWork] = ()
) -> PullList:
    """Add up what this work takes from the shop's shelf; the number of queries is fixed.

    begun: work whose parts were fetched before; its tools are brought all the same.
    """
    pulls = pulls_of(work, shop)  # first: it fetches what the others look at
    return PullList(pulls, tools_of([*work, *begun]), sorted(set(_unknown(work))), shop)


def pulls_of(work: Sequence[PlannedWork], shop: Shop | None) -> list[Pull]:
    """Add up what to fetch alone, without tools; the number of queries is fixed."""
    needs = needs_of(work)
    parts = {need.part.pk for need in needs if need.part} | set(_others(work))
    rows = StockMovement.objects.filter(shop=shop, part__in=parts).values_list("part")
    on_hand = dict(rows.annotate(Sum("quantity")).order_by())
    spare = dict(on_hand)
    for need in needs:
        if need.part:
            spare[need.part.pk] = spare.get(need.part.pk, 0.0) - need.quantity
    takers = _takers(work)
    return [_pull(need, on_hand, tuple(takers[need.name, need.part]), spare) for need in needs]


def _takers(work: Sequence[PlannedWork]) -> dict[tuple[str, Part | None], list[PlannedWork]]:
    """Return name and part of a need -> the work that takes it, in order."""
    takers = defaultdict(list)
    for one in work:
        for place in dict.fromkeys((each.name, each.part) for each in add_up([one])):
            takers[place].append(one)
    return takers


def _others(work: Sequence[PlannedWork]) -> Iterable[int]:
    """Return what does in place of a part of this work."""
    for one in work:
        if one.service_id:
            for fit in one.machine.makeup.fitting_parts.all():
                if fit.instead_id:
                    yield fit.instead_id


def _pull(
    need: Need,
    on_hand: dict[int, float],
    takes: tuple[PlannedWork, ...],
    spare: dict[int, float],
) -> Pull:
    """Say what is pulled in the place of a part that lacks; that is no longer to spare."""
    if need.part is None:
        return Pull(need, None, takes)
    pull = Pull(need, on_hand.get(need.part.pk, 0.0), takes)
    if pull.lacks <= NEARLY:
        return pull
    instead = in_its_place(need.part, pull.lacks, takes, spare)
    for one in instead:
        spare[one.part.pk] -= one.quantity
    return replace(pull, instead=tuple(instead))


def tools_of(work: Sequence[PlannedWork]) -> list[str]:
    """Return every tool and socket that the steps name, once; a step may name several.

    What is not done on a machine's build asks for no tool.
    """
    named = [
        step.tool
        for each in work
        if each.service
        for step in each.service.steps.all()
        if fits(step.only_on, each.machine.makeup.traits) is not False
    ]
    return sorted({tool.strip() for names in named for tool in names.split(",") if tool.strip()})


def _unknown(work: Sequence[PlannedWork]) -> list[str]:
    """Name the places for which a make-up has neither fluid nor part, so that nobody guesses."""
    return [
        f"{place} of {each.machine.makeup}"
        for each in work
        if each.service
        for place in _places_without_part(each.service, each.machine.makeup)
    ]


def _places_without_part(service: Service, makeup: MakeUp) -> list[str]:
    known = {fluid.place for fluid in makeup.fluids.all()}
    known |= {fit.place for fit in makeup.fitting_parts.all()}
    return [need.place for need in service.needs.all() if need.place not in known]
