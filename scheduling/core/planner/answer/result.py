"""What the planner hands back: the plan, its price, and how far from the best it can be at most."""

from dataclasses import asdict, dataclass, field
from typing import Any

from scheduling.core.planner.plan import TERMS
from scheduling.core.planner.problem import Spot

from .cost_words import TermLine
from .place_reason import PlaceReason, Relaxation
from .week import Bottleneck


@dataclass(frozen=True, slots=True)
class Assignment:
    """A task on its day with its mechanic, and why there: in a sentence, and as values.

    `second` is the second person where the task needs one; `last_day` the day on which a visit
    that may go on over several days ends.
    """

    task: str
    day: int
    mechanic: str
    why: str = ""
    second: str | None = None
    last_day: int | None = None
    reason: PlaceReason | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return the assignment in the format ``shop-plan-1``."""
        row = {"task": self.task, "day": self.day, "mechanic": self.mechanic, "why": self.why}
        further = {"second": self.second, "last_day": self.last_day}
        return row | {name: value for name, value in further.items() if value is not None}


@dataclass(frozen=True, slots=True)
class Clash:
    """A task whose limit, pin or frozen place cannot be kept, and what stands in the way.

    `gives` are the ways out: what would have to give for it to be kept, the cheapest first.
    """

    task: str
    limit: str
    reason: str
    gives: tuple[Relaxation, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """A plan with its cost by term (money), proven bound, and what could not be kept.

    `stopped` is "optimal" (no cheaper plan exists), "gap" (within the wanted gap) or "time".
    With clashes, cost and bound are those of the problem with the clashing limits taken away,
    and `fewest` tells whether it is proven that no plan breaks fewer.  `deferred_reasons` tell why
    tasks wait, `terms` put the cost into words, and `weeks` name each week's bottleneck.
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
    terms: tuple[TermLine, ...] = ()
    weeks: tuple[Bottleneck, ...] = ()

    @property
    def deferred_why(self) -> dict[str, str]:
        """Return a sentence for each task that waits, as far as the seconds allowed one."""
        return {task: reason.sentence() for task, reason in self.deferred_reasons.items()}

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
        """Return the plan in the format ``shop-plan-1``."""
        plan: dict[str, Any] = {
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
            "deferred_why": self.deferred_why,
            "cost_words": {line.term: line.words for line in self.terms},
            "weeks": [asdict(week) | {"why": week.sentence()} for week in self.weeks],
        }
        if self.clashes:
            plan["clashes"] = [
                {
                    "task": c.task,
                    "limit": c.limit,
                    "reason": c.reason,
                    "ways_out": [relaxation.words() for relaxation in c.gives],
                }
                for c in self.clashes
            ]
            plan["fewest_proven"] = self.fewest
        return plan
