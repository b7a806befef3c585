"""What the planner hands back: the plan, its price, and how far from the best it can be at most."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from scheduling.core.planner.plan import TERMS
from scheduling.core.planner.problem import Conflict, Spot

from .cost_counts import CostCounts
from .place_reason import PlaceReason, Relaxation
from .week import Bottleneck


@dataclass(frozen=True, slots=True)
class Assignment:
    """A task on its day with its mechanic, and why there.

    `second` is the second person where the task needs one; `last_day` the day on which a visit
    that may go on over several days ends.  `reason` is None where there was no time for one.
    """

    task: str
    day: int
    mechanic: str
    second: str | None = None
    last_day: int | None = None
    reason: PlaceReason | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return the assignment in the format ``shop-plan-1``, but for its sentence."""
        row = {"task": self.task, "day": self.day, "mechanic": self.mechanic}
        further = {"second": self.second, "last_day": self.last_day}
        return row | {name: value for name, value in further.items() if value is not None}


class LimitKind(StrEnum):
    """What had to be kept: the last permitted day, a pin, or a place in the frozen days."""

    LIMIT = "limit"
    PIN = "pin"
    FROZEN = "frozen"


@dataclass(frozen=True, slots=True)
class ClashLimit:
    """The rule that cannot be kept: its day, and the mechanic where it names one."""

    kind: LimitKind
    day: int
    mechanic: str | None = None


@dataclass(frozen=True, slots=True)
class ClashDays:
    """What stands in the way on some days, as spans from a first to a last day."""

    spans: tuple[tuple[int, int], ...]
    conflict: Conflict


@dataclass(frozen=True, slots=True)
class Clash:
    """A task whose limit, pin or frozen place cannot be kept, and what stands in the way.

    `barred` covers every day that the limit allows; it is empty where no day is left before it.
    `gives` are the ways out: what would have to give for it to be kept, the cheapest first.
    """

    task: str
    limit: ClashLimit
    barred: tuple[ClashDays, ...] = ()
    gives: tuple[Relaxation, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """A plan with its cost by term (money), proven bound, and what could not be kept.

    `stopped` is "optimal" (no cheaper plan exists), "gap" (within the wanted gap) or "time".
    With clashes, cost and bound are those of the problem with the clashing limits taken away,
    and `fewest` tells whether it is proven that no plan breaks fewer.  `deferred_reasons` tell why
    tasks wait, `counts` tell what the cost is made of, and `weeks` name each week's bottleneck.
    """

    assignments: tuple[Assignment, ...]
    deferred: tuple[str, ...]
    blocked_bookings: tuple[str, ...]
    cost: dict[str, float]
    bound: float
    seconds: float
    stopped: str
    clashes: tuple[Clash, ...] = ()
    fewest: bool = True
    deferred_reasons: dict[str, PlaceReason] = field(default_factory=dict)
    counts: CostCounts | None = None
    weeks: tuple[Bottleneck, ...] = ()

    @property
    def total(self) -> float:
        """Return the money of the whole plan."""
        return sum(self.cost[term] for term in TERMS)

    @property
    def gap(self) -> float:
        """Return by what fraction of its cost the plan may be dearer than the best."""
        total = self.total
        return max(0.0, (total - self.bound) / total) if total > 0 else 0.0

    @property
    def feasible(self) -> bool:
        """Tell whether every limit, pin and frozen place is kept."""
        return not self.clashes

    def places(self) -> dict[str, Spot]:
        """Return where each planned task stands: day, mechanic and second person."""
        return {a.task: Spot(a.day, a.mechanic, a.second) for a in self.assignments}

    def to_dict(self) -> dict[str, Any]:
        """Return the figures of the plan in the format ``shop-plan-1``, without any sentence."""
        return {
            "format": "shop-plan-1",
            "feasible": self.feasible,
            "assignments": [a.to_dict() for a in self.assignments],
            "deferred": list(self.deferred),
            "blocked_bookings": list(self.blocked_bookings),
            "cost": {term: round(self.cost[term], 4) for term in TERMS},
            "total": round(self.total, 4),
            "bound": self.bound,
            "gap": self.gap,
            "seconds": round(self.seconds, 3),
            "stopped": self.stopped,
        }
