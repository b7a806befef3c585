"""Expected days late and early of every task of a yard on every day, worked out once."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Floats, Problem, expected_early, expected_late, knots


@dataclass(frozen=True, slots=True)
class Timing:
    """`late` and `early` (T, H+1): expected days by day, the last for a task that waits.

    `row` finds a task by its id.
    """

    row: dict[str, int]
    late: Floats
    early: Floats


def timing_of(problem: Problem) -> Timing:
    """Return the expected days late and early of the problem's tasks."""
    last = problem.horizon_days + problem.weights.deferred_days
    when = np.append(np.arange(problem.horizon_days, dtype=float), last)
    edges = knots([task.due for task in problem.tasks.values()])
    row = {name: n for n, name in enumerate(problem.tasks)}
    return Timing(row, expected_late(edges, when), expected_early(edges, when))
