"""Plan maintenance over shop days: what to do on which day, by whom, and what it costs.

`solve` takes a `Problem` (plain values, read from the instance format ``shop-plan-1``) and
`RunLimits`, and returns a `Result` with the plan, its cost by term, a bound that no plan can beat,
and a reason for each place.

The idea: every visit that a machine could make is priced beforehand (`visits`).  A quick search
plans machine by machine (`plan`).  A linear programme over whole mechanic-days, grown column by
column and tightened by cuts, proves a bound (`bound`) and its fractional solution is rounded into
plans.  An exact solver then improves parts of the plan over the visits that hardly raise the bound
while cuts over several machines raise the bound further (`search`), until the two meet or time is
over.  Other places are priced to say why (`explain`).

The rooms, each of which imports only those before it, and each by its face alone:

- `control`: limits, stopwatch, tuning, progress
- `problem`: the instance as values, its rules, a yard's resources as arrays
- `visits`: all that a machine could do, priced
- `plan`: what a plan takes and costs; one machine put into it; quick plans
- `answer`: result, reasons, differences as values
- `bound`: what no plan can beat, and what an hour is worth
- `search`: the way to a good plan
- `explain`: why each task stands where it does
- `run`: `solve`, yard by yard
- `mend`: `mend`, with few moves
"""

from .answer import (
    CENT,
    Assignment,
    Bottleneck,
    Change,
    Clash,
    ClashDays,
    ClashLimit,
    CostCounts,
    Difference,
    FixedBy,
    LimitKind,
    PlaceReason,
    Relaxation,
    RelaxationKind,
    Result,
    Supply,
    TaskMove,
    compare,
)
from .control import RunLimits, RunProgress, Stage, Tuning, Watch
from .explain import Sooner, SoonerPlace, placed_anew, sooner
from .mend import Leaving, LeavingKind, MendedPlan, ReasonedMove, mend
from .plan import TERMS, blocked_bookings, price
from .problem import (
    BookedSpan,
    BusyMechanic,
    Conflict,
    ConflictKind,
    InstanceError,
    Problem,
    Spot,
    read_problem,
)
from .run import quick_plan, solve

__all__ = [
    "CENT",
    "TERMS",
    "Assignment",
    "BookedSpan",
    "Bottleneck",
    "BusyMechanic",
    "Change",
    "Clash",
    "ClashDays",
    "ClashLimit",
    "Conflict",
    "ConflictKind",
    "CostCounts",
    "Difference",
    "FixedBy",
    "InstanceError",
    "Leaving",
    "LeavingKind",
    "LimitKind",
    "MendedPlan",
    "PlaceReason",
    "Problem",
    "ReasonedMove",
    "Relaxation",
    "RelaxationKind",
    "Result",
    "RunLimits",
    "RunProgress",
    "Sooner",
    "SoonerPlace",
    "Spot",
    "Stage",
    "Supply",
    "TaskMove",
    "Tuning",
    "Watch",
    "blocked_bookings",
    "compare",
    "mend",
    "placed_anew",
    "price",
    "quick_plan",
    "read_problem",
    "solve",
    "sooner",
]
