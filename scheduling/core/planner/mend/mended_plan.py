"""Mend a plan when something breaks in the day, and change as little as that takes.

Each task's `previous` is where it stands; the problem holds what broke (hours gone, a part late,
a machine out for longer, a new task).  Looked for is the plan that breaks the fewest limits, and
among those the one with the least money when each move is charged a price of its own
(`change_penalty`): what can stay stays, unless moving it saves more than that.  The frozen days may
change too, at a higher price; pins stay.  A yard in which everything can stay is left alone.
"""

from dataclasses import asdict, dataclass, replace
from typing import Any

from scheduling.core.planner.answer import PlaceReason, Result, cost_counts
from scheduling.core.planner.control import SPARE, RunLimits, Watch
from scheduling.core.planner.explain import explain, with_relaxations
from scheduling.core.planner.plan import blocked_bookings, price
from scheduling.core.planner.problem import Problem, Spot, split_by_yard
from scheduling.core.planner.run import assignments

from .change_penalty import ChangePenalty, default_move_price, same_place
from .moves import ReasonedMove, moves_of
from .yard_mend import Means, MendedYard, mend_yard

SHARE_TO_EXPLAIN = 0.2
"""Share of the time kept back for the reasons."""


@dataclass(frozen=True, slots=True)
class MendedPlan:
    """A mended plan and what it changes.

    `result` is the whole plan; its bound is 0, for it is not the cheapest plan that was looked
    for.  `moves` are the tasks whose place differs from where they stood; `kept` counts those
    that stood and stay.  Money: `cost_before` of the standing plan as if it could stand,
    `cost_after` of the mended one, and `move_price`, which each move had to save.  No plan that
    breaks as few limits moves fewer tasks than `least_moves`; `fewest` tells whether it is proven
    that none moves fewer than this one, unless each move it spares costs more than `move_price`.
    """

    result: Result
    moves: tuple[ReasonedMove, ...]
    kept: int
    cost_before: float
    cost_after: float
    move_price: float
    least_moves: int
    fewest: bool
    seconds: float

    def to_dict(self) -> dict[str, Any]:
        """Return the mend as plain JSON values, the plan in the format ``shop-plan-1``.

        Why each task moves is left out: it is put into words outside the core.
        """
        names = ("kept", "cost_before", "cost_after", "move_price", "least_moves", "fewest")
        figures = {name: getattr(self, name) for name in (*names, "seconds")}
        moves = [
            {"task": m.task, "before": _spot_values(m.before), "after": _spot_values(m.after)}
            for m in self.moves
        ]
        return figures | {"moves": moves, "plan": self.result.to_dict()}


def _spot_values(spot: Spot | None) -> dict[str, Any] | None:
    return None if spot is None else asdict(spot)


def mend(problem: Problem, limits: RunLimits, move_price: float | None = None) -> MendedPlan:
    """Return the plan that mends the standing one within the seconds of the limits.

    `gap` is not looked at.  `move_price` is the money that each move must save.
    """
    watch = Watch.start(limits.clock, limits.seconds)
    charge = default_move_price(problem) if move_price is None else move_price
    penalty = ChangePenalty(charge, problem.frozen_days)
    # What breaks today breaks frozen days; they are protected by the price of moves instead.
    eased = replace(problem, frozen_days=0)
    search, late = watch.part(1.0 - SPARE - SHARE_TO_EXPLAIN), watch.part(1.0 - SPARE)
    mended: list[tuple[Problem, MendedYard]] = []
    yards = [yard for yard in split_by_yard(eased).values() if yard.tasks]
    for n, yard in enumerate(yards):
        means = Means(penalty, search.part(1.0 / (len(yards) - n)), limits.workers, limits.seed)
        mended.append((yard, mend_yard(yard, means)))
    return _mended(problem, mended, penalty, late)


def _mended(
    problem: Problem, mended: list[tuple[Problem, MendedYard]], penalty: ChangePenalty, watch: Watch
) -> MendedPlan:
    result = _result(problem, mended, watch)
    moves = moves_of([r for _, r in mended], result)
    least = sum(r.least for _, r in mended) + _must_come(problem, result)
    return MendedPlan(
        result=result,
        moves=moves,
        kept=_stood(problem) - sum(move.before is not None for move in moves),
        cost_before=sum(price_standing(problem).values()),
        cost_after=result.total,
        move_price=penalty.price,
        least_moves=least,
        fewest=len(moves) == least or all(r.optimal for _, r in mended),
        seconds=watch.elapsed(),
    )


def _stood(problem: Problem) -> int:
    return sum(task.previous is not None for task in problem.tasks.values())


def _must_come(problem: Problem, result: Result) -> int:
    """Return how many tasks that stood nowhere may not wait, where none of those is given up."""
    if result.clashes:
        return 0
    tasks = problem.tasks.values()
    return sum(task.previous is None and not problem.may_wait(task) for task in tasks)


def _result(problem: Problem, mended: list[tuple[Problem, MendedYard]], watch: Watch) -> Result:
    places = {task: spot for _, r in mended for task, spot in r.draft.places().items()}
    stood = {task.id: task.previous for task in problem.tasks.values()}
    moved = {t for t, spot in stood.items() if not same_place(spot, places.get(t))}
    reasons: dict[str, PlaceReason] = {}
    for _, yard in mended:
        reasons |= explain(yard.draft, watch, first=moved)
    cost = price(problem, places)
    return Result(
        assignments=assignments(problem, places, reasons),
        deferred=tuple(task for task in problem.tasks if task not in places),
        blocked_bookings=tuple(blocked_bookings(problem, places)),
        cost=cost,
        # Nothing is proven of the cheapest plan: it was not looked for.
        bound=0.0,
        seconds=watch.elapsed(),
        stopped="optimal" if all(r.optimal for _, r in mended) else "time",
        clashes=tuple(
            clash
            for yard, r in mended
            for clash in with_relaxations(r.draft, yard, r.clashes, watch)
        ),
        fewest=all(r.fewest for _, r in mended),
        deferred_reasons={t: r for t, r in reasons.items() if t not in places},
        counts=cost_counts(problem, places),
    )


def price_standing(problem: Problem) -> dict[str, float]:
    """Return the money of the standing plan by term as if it could stand.

    Hours that are not there any more are not paid as overtime.
    """
    stood: dict[str, Spot] = {
        task.id: task.previous
        for task in problem.tasks.values()
        if task.previous is not None and task.previous.day < problem.horizon_days
    }
    crew = {
        # Somebody who is away now was there when the plan was made: 24 hours let the old work
        # stand.
        name: replace(m, hours=tuple(h if h > 0 else 24.0 for h in m.hours))
        for name, m in problem.mechanics.items()
    }
    return price(replace(problem, mechanics=crew), stood)
