"""The planner's run over a whole problem: yards planned apart, their plans put together.

`solve` takes a problem and limits and returns a result; each yard is planned, explained and priced
by itself, in worker processes where there are several.  `quick_plan` makes do with a fixed number
of rounds, for a past that is lived through again.
"""

from .quick_plan import quick_plan
from .solve import assignments, solve
from .yardplan import WORK_TO_KEEP

__all__ = [
    "WORK_TO_KEEP",
    "assignments",
    "quick_plan",
    "solve",
]
