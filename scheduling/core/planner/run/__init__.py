"""The planner's run over a whole problem: yards planned apart, their plans put together.

`solve` takes a problem and limits and returns a result; each yard is planned, explained and priced
by itself, in worker processes where there are several.
"""

from .solve import assignments, solve
from .yardplan import WORK_TO_KEEP

__all__ = [
    "WORK_TO_KEEP",
    "assignments",
    "solve",
]
