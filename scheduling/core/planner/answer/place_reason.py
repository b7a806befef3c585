"""What speaks for a task's place in the plan, or against any, as values.

How they are said is decided outside the core.
"""

from dataclasses import dataclass
from enum import StrEnum

from scheduling.core.planner.problem import Conflict, Spot

CENT = 0.005
"""Money below which two places cost the same."""


class RelaxationKind(StrEnum):
    """What would have to give."""

    OVERTIME = "overtime"
    """`amount` hours of the mechanic `what` beyond the limit of the day."""
    BAY = "bay"
    """`amount` bays more."""
    PART = "part"
    """The part `what` there `amount` days sooner; 0 if none is on its way."""
    BOOKING = "booking"
    """The booking `what` begins `amount` days later or, below 0, ends so many sooner."""
    LIMIT = "limit"
    """The limit `amount` days later."""
    SWAP = "swap"
    """The `tasks` go elsewhere."""


@dataclass(frozen=True, slots=True)
class Relaxation:
    """Something that would have to give for a task to stand at `spot`.

    `kind` tells what `amount` and `what` mean; `tasks` are those that go elsewhere.  `price` is
    the money of the whole plan then less that of the plan now; what gives costs nothing in it but
    overtime.  `days` are those of the booking, or those on which hours or bays are short.
    """

    kind: RelaxationKind
    spot: Spot
    amount: float
    what: str
    price: float
    days: tuple[int, int] = (0, 0)
    tasks: tuple[str, ...] = ()


class FixedBy(StrEnum):
    """The rule that leaves a task no choice."""

    PIN = "pin"
    FROZEN = "frozen"


@dataclass(frozen=True, slots=True)
class PlaceReason:
    """What speaks for a place, or for waiting.

    `fixed` is the rule that leaves no choice; `other` the cheapest other place, which costs
    `more` money by term; `barred_day` would save `barred_saving` but for `barred_by`, and there
    an hour of the mechanic is worth `hour_worth` money to the plan.  `sooner` is the cheapest
    free place on an earlier day and `sooner_more` its money.  `together` are the tasks done in
    the same visit, which saves `visit_saved` money against a visit of its own; the task comes
    `early_days` before it is due and `late_days` after (both expected), and the days early cost
    `early_money`.  A task that `waits` has the cheapest free place as `other`, and `gives`.
    """

    fixed: FixedBy | None = None
    other: Spot | None = None
    more: tuple[tuple[str, float], ...] = ()
    barred_day: int | None = None
    barred_saving: float = 0.0
    barred_by: Conflict | None = None
    hour_worth: float | None = None
    sooner: Spot | None = None
    sooner_more: float = 0.0
    together: tuple[str, ...] = ()
    visit_saved: float = 0.0
    early_days: float = 0.0
    early_money: float = 0.0
    late_days: float = 0.0
    waits: bool = False
    gives: tuple[Relaxation, ...] = ()
