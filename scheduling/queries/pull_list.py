"""Parts and fluids for a shop day, added up, against the shelf; and the tools to bring."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Sum

from fleet.makeup_traits import fits
from fleet.models import MakeUp, Service, Shop, StockMovement
from scheduling.models import PlannedWork
from scheduling.queries.shelf_needs import Need, add_up, needs_of


@dataclass(frozen=True)
class Pull:
    """One thing to fetch in one trip: how much, and how much is on the shelf (None: not kept).

    work: what takes it.
    """

    need: Need
    on_hand: float | None
    work: tuple[PlannedWork, ...] = ()

    @property
    def containers(self) -> int | None:
        """Whole containers to take of a fluid; None where the size of one is not known."""
        size = self.need.part.container_ml if self.need.part and self.need.fluid else None
        return math.ceil(self.need.quantity / size - 1e-6) if size else None

    @property
    def short(self) -> bool:
        """Whether the shelf holds less than is needed."""
        return self.on_hand is not None and self.on_hand < self.need.quantity - 1e-6


@dataclass(frozen=True)
class PullList:
    """What to fetch, which tools to bring, and which places no part is set up for."""

    pulls: list[Pull] = field(default_factory=list)
    tools: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)

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
    needs = needs_of(work)
    parts = [need.part.pk for need in needs if need.part]
    rows = StockMovement.objects.filter(shop=shop, part__in=parts).values_list("part")
    on_hand = dict(rows.annotate(Sum("quantity")).order_by())
    return PullList(
        [
            _pull(need, on_hand.get(need.part.pk, 0.0) if need.part else None, work)
            for need in needs
        ],
        tools_of([*work, *begun]),
        sorted(set(_unknown(work))),
    )


def _pull(need: Need, on_hand: float | None, work: Sequence[PlannedWork]) -> Pull:
    """Say which work takes it."""
    takes = (
        one
        for one in work
        if any((each.name, each.part) == (need.name, need.part) for each in add_up([one]))
    )
    return Pull(need, on_hand, tuple(takes))


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
