"""What the planner hands back, as values that can say themselves in a sentence.

`Result` is the plan with its price, its bound and a `Reason` for each place; `Clash` and `Give` say
what cannot be kept and what would have to give; `Bottleneck` what a week is short of; `Loads` how
full the plan makes people and bays; `compare` what differs between two plans.
"""

from .difference import Change, Difference, TaskMove, compare
from .loads import WEEK, Bar, Loads, loads, loads_of
from .reason import CENT, Give, Reason, place
from .result import Assignment, Clash, Result
from .telling import TermLine, term_lines
from .week import Bottleneck, Supply

__all__ = [
    "CENT",
    "WEEK",
    "Assignment",
    "Bar",
    "Bottleneck",
    "Change",
    "Clash",
    "Difference",
    "Give",
    "Loads",
    "Reason",
    "Result",
    "Supply",
    "TaskMove",
    "TermLine",
    "compare",
    "loads",
    "loads_of",
    "place",
    "term_lines",
]
