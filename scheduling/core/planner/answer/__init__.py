"""What the planner hands back, as values that can say themselves in a sentence.

`Result` is the plan with its price, its bound and a `PlaceReason` for each place; `Clash` and
`Relaxation` say what cannot be kept and what would have to give; `Bottleneck` what a week is short
of; `Utilisation` how full the plan makes people and bays; `compare` what differs between two plans.
"""

from .cost_words import TermLine, term_lines
from .difference import Change, Difference, TaskMove, compare
from .place_reason import CENT, PlaceReason, Relaxation, place
from .result import Assignment, Clash, Result
from .utilisation import WEEK, Bar, Utilisation, utilisation_of
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
    "PlaceReason",
    "Relaxation",
    "Result",
    "Supply",
    "TaskMove",
    "TermLine",
    "Utilisation",
    "compare",
    "place",
    "term_lines",
    "utilisation_of",
]
