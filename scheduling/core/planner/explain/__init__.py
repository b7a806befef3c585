"""Say why: each task's place, what cannot be kept, and what a week is short of.

Nothing is told from memory of the search: other places are priced against the finished plan
(`explain`), rules are looked up day by day (`clashes_of`), what would have to give is tried
(`with_ways_out`), and what is scarce is read off the bound's prices (`bottlenecks`).
"""

from .bottleneck import bottlenecks
from .clash import clashes_of
from .keeping import with_ways_out
from .obstacle import obstacle_with
from .why import TOO_LATE, explain

__all__ = [
    "TOO_LATE",
    "bottlenecks",
    "clashes_of",
    "explain",
    "obstacle_with",
    "with_ways_out",
]
