"""What the planner's tests share: solving a case on a stopwatch of processor time."""

import time

from scheduling.core.planner import Limits, Problem, Result, solve


def plan(case: dict, seconds: float = 20.0, **limits) -> Result:
    """Solve a case; the stopwatch counts processor time, so that a busy machine changes nothing."""
    limits.setdefault("clock", time.process_time)
    return solve(Problem.from_dict(case), Limits(seconds, **limits))


def proven(case: dict, **limits) -> float:
    """The least cost of a case, which must have been proven."""
    result = plan(case, **limits)
    assert result.stopped == "optimal"
    return result.total
