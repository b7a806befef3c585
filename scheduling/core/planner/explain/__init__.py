"""Say why: each task's place, what cannot be kept, and what a week is short of.

Nothing is told from memory of the search: other places are priced against the finished plan
(`explain`), rules are looked up day by day (`clashes_of`), what would have to give is tried
(`with_relaxations`), a sooner day is priced beside the plan (`sooner`), one machine is put
back into it (`placed_anew`), and what is scarce is read off the bound's prices (`bottlenecks`).
"""

from .anew import placed_anew
from .bottleneck import bottlenecks
from .clash import clashes_of
from .clash_relaxation import with_relaxations
from .day_conflict import conflict_at
from .sooner import Sooner, SoonerPlace, sooner
from .why import explain

__all__ = [
    "Sooner",
    "SoonerPlace",
    "bottlenecks",
    "clashes_of",
    "conflict_at",
    "explain",
    "placed_anew",
    "sooner",
    "with_relaxations",
]
