"""What differs between two plans: of one shop before and after a change, or published and done.

Pure and symmetric in what it looks at: two problems with their results in, the tasks that moved,
came or went, the bookings lost or saved, expected days overdue, and money by term out.
"""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from scheduling.core.planner.plan import TERMS, days_late
from scheduling.core.planner.problem import Problem, Spot

from .result import Result

CENT = 0.005
"""Money, and days, below which two plans count as the same."""


@dataclass(frozen=True, slots=True)
class TaskMove:
    """A task's place before and after; None where it waits or is not there at all."""

    task: str
    before: Spot | None
    after: Spot | None


@dataclass(frozen=True, slots=True)
class Change:
    """A figure before and after."""

    before: float
    after: float

    @property
    def by(self) -> float:
        """Return by how much the figure rose."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Difference:
    """How the plan after differs from the plan before.

    `moved` tasks are planned in both at another day or with another mechanic, `planned` ones
    waited before, `deferred` ones wait now; `new` and `gone` ones are in one problem only; `kept`
    counts those that stay.  `overdue_days` are expected days late of all tasks together, and
    `lost_bookings` the ids of those lost before only and after only.  Money is by term.
    """

    moved: tuple[TaskMove, ...]
    planned: tuple[TaskMove, ...]
    deferred: tuple[TaskMove, ...]
    new: tuple[TaskMove, ...]
    gone: tuple[TaskMove, ...]
    kept: int
    overdue_days: Change
    lost_bookings: tuple[tuple[str, ...], tuple[str, ...]]
    money: dict[str, Change]
    total: Change
    clashes: Change

    @property
    def same(self) -> bool:
        """Tell whether the two plans are the same, money to the cent included."""
        moves = self.moved or self.planned or self.deferred or self.new or self.gone
        figures = [*self.money.values(), self.overdue_days, self.clashes]
        return not moves and not any(self.lost_bookings) and all(abs(f.by) < CENT for f in figures)

    def to_dict(self) -> dict[str, Any]:
        """Return the difference as plain JSON values."""
        return asdict(self) | {"same": self.same}


def compare(
    problem_before: Problem, result_before: Result, problem_after: Problem, result_after: Result
) -> Difference:
    """Return how the plan after differs from the one before, in places, days overdue and money."""
    old, new = result_before.places(), result_after.places()
    both = [t for t in problem_before.tasks if t in problem_after.tasks]
    came = [t for t in problem_after.tasks if t not in problem_before.tasks]
    went = [t for t in problem_before.tasks if t not in problem_after.tasks]

    def moves(tasks: list[str], chosen: Callable[[str], bool]) -> tuple[TaskMove, ...]:
        return tuple(TaskMove(t, old.get(t), new.get(t)) for t in tasks if chosen(t))

    lost_before, lost_after = result_before.blocked_bookings, result_after.blocked_bookings
    return Difference(
        moved=moves(both, lambda t: t in old and t in new and old[t] != new[t]),
        planned=moves(both, lambda t: t not in old and t in new),
        deferred=moves(both, lambda t: t in old and t not in new),
        new=moves(came, lambda _: True),
        gone=moves(went, lambda _: True),
        kept=sum(t in old and old[t] == new.get(t) for t in both),
        overdue_days=Change(
            float(days_late(problem_before, old).sum()), float(days_late(problem_after, new).sum())
        ),
        lost_bookings=(
            tuple(b for b in lost_before if b not in lost_after),
            tuple(b for b in lost_after if b not in lost_before),
        ),
        money={t: Change(result_before.cost[t], result_after.cost[t]) for t in TERMS},
        total=Change(result_before.total, result_after.total),
        clashes=Change(float(len(result_before.clashes)), float(len(result_after.clashes))),
    )
