"""Plan maintenance over shop days: what to do on which day, by whom, and what it costs.

`solve` takes a `Problem` (plain values, read from the instance format ``shop-plan-1``) and
`Limits`, and returns a `Result` with the plan, its cost by term, a bound that no plan can beat,
and a reason for each place.

The idea: every visit that a machine could make is priced beforehand (`visits`).  A quick search
plans machine by machine (`insert`, `greedy`, `ruin`).  A linear programme over whole
mechanic-days, grown column by column and tightened by cuts, proves a bound (`bound`, `pricing`,
`cuts`) and its fractional solution is rounded into plans (`rounding`).  An exact solver then
improves parts of the plan over the visits that hardly raise the bound (`polish`, `candidates`,
`model`) while cuts over several machines raise the bound further (`tightening`), until the two
meet or time is over (`search`).
"""

from .difference import Change, Difference, TaskMove, compare
from .entities import InstanceError
from .loads import Bar, Loads, loads
from .mend import Mend, mend
from .moves import Move
from .problem import Problem
from .progress import Progress
from .reason import Give, Reason
from .result import Assignment, Clash, Result
from .solve import solve
from .telling import TermLine
from .tuning import Tuning
from .watch import Limits
from .week import Bottleneck, Supply

__all__ = [
    "Assignment",
    "Bar",
    "Bottleneck",
    "Change",
    "Clash",
    "Difference",
    "Give",
    "InstanceError",
    "Limits",
    "Loads",
    "Mend",
    "Move",
    "Problem",
    "Progress",
    "Reason",
    "Result",
    "Supply",
    "TaskMove",
    "TermLine",
    "Tuning",
    "compare",
    "loads",
    "mend",
    "solve",
]
