"""The search for one yard's plan: quick plans, a proven bound, then improvement.

`Search` is the whole run.  `keep_most` first settles which limits, pins and frozen places can be
kept at all; `ruin_and_recreate` takes related machines out and plans them again; `Model` gives some
machines to an exact solver while the others stay, over the visits worth looking at.
"""

from .candidates import all_visits
from .exact_model import Effort, Model
from .hard_limits import KeptLimits, keep_most
from .polish import merged
from .ruin import COOL, WARM, related_machines, ruin_and_recreate
from .search import PROOF, Search

__all__ = [
    "COOL",
    "PROOF",
    "WARM",
    "Effort",
    "KeptLimits",
    "Model",
    "Search",
    "all_visits",
    "keep_most",
    "merged",
    "related_machines",
    "ruin_and_recreate",
]
