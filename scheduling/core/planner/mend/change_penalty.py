"""The price of moving what stands, and how few moves there can be.

While a plan is mended every task that leaves its place, and every task that comes into the plan,
has to be told to somebody.  Each such move is charged `price` money on top of the plan's own
prices; one that takes a task out of the frozen days or into them is charged once more for each.
"""

from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from scheduling.core.planner.plan import Draft, standing_plan
from scheduling.core.planner.problem import Case, Flags, Floats, Problem, Spot, Task
from scheduling.core.planner.search import Effort, Model, all_visits
from scheduling.core.planner.visits import Visits


@dataclass(frozen=True, slots=True)
class ChangePenalty:
    """Money `price` a move, and the `frozen_days` (days 0 to F-1) that cost more to touch."""

    price: float
    frozen_days: int

    def times(self, before: Spot | None, after: Spot | None) -> int:
        """Return how many times the price a move costs; 0 when nothing moves."""
        if same_place(before, after):
            return 0
        # Work on frozen days is laid out already, so leaving one, or coming into one, counts once
        # more.
        return 1 + sum(s is not None and s.day < self.frozen_days for s in (before, after))

    def money(self, task: Task, case: Case) -> tuple[Floats, float]:
        """Return what putting the task on each day with each mechanic adds (H, W), and waiting."""
        before = task.previous
        cost = np.full((case.days, len(case.mechanics)), float(self.times(before, None)))
        if before is None:
            cost[:] = 1.0
        cost[: self.frozen_days] += 1.0
        if before is not None and before.day < case.days:
            cost[before.day, [m.id == before.mechanic for m in case.mechanics]] = 0.0
        return self.price * cost, self.price * self.times(before, None)


def same_place(one: Spot | None, other: Spot | None) -> bool:
    """Tell whether two places have the same day and mechanic; who is second may change freely."""
    if one is None or other is None:
        return one is other
    return (one.day, one.mechanic) == (other.day, other.mechanic)


def with_move_prices(case: Case, machines: list[Visits], penalty: ChangePenalty) -> list[Visits]:
    """Return the visits with the price of each move in their cost and in that of waiting.

    Money on top of `Visits.cost`, shape (R, H, C), and of `Visits.wait_cost`, shape (n,).
    """
    priced = []
    for visits in machines:
        moved = [penalty.money(task, case) for task in visits.tasks]
        by_crew = np.array([m[:, visits.lead] for m, _ in moved])
        money = np.tensordot(visits.member.astype(float), by_crew, 1)
        wait = np.array([w for _, w in moved])
        priced.append(replace(visits, cost=visits.cost + money, wait_cost=visits.wait_cost + wait))
    return priced


def penalised_case(case: Case, penalty: ChangePenalty) -> Case:
    """Return the case with a price of last resort that also exceeds all moves together."""
    # A move costs three times the price at most, so four times for every task is more than all
    # moves.
    return replace(case, resort=case.resort + 4.0 * penalty.price * len(case.problem.tasks))


@dataclass(frozen=True, slots=True)
class StandingPart:
    """The most that can stay where it stands: those places, and the least number that must leave.

    `least` is proven for every plan, whatever it does with the rest.
    """

    draft: Draft
    least: int


def most_standing(case: Case, machines: list[Visits], effort: Effort) -> StandingPart:
    """Return the standing plan with as few tasks off their days as its limits and room demand."""
    draft = standing_plan(case, machines)
    stood = [t.id for t in case.problem.tasks.values() if t.previous is not None]
    places = draft.places()
    if all(task in places for task in stood):
        return StandingPart(draft, 0)
    free = replace(
        case, overtime=np.zeros_like(case.overtime), trip_cost=np.zeros_like(case.trip_cost)
    )
    counting = rebuilt(free, [_only_where_it_stood(case, v) for v in machines], draft)
    every = list(range(len(machines)))
    answer = Model(counting, every, all_visits(counting.machines)).solve(effort)
    best = answer.draft or counting
    # Counting left the order of tasks out, which only lets more stay: the count is a bound all the
    # same, but the plan that is built must keep it.
    _take_out_of_order(best)
    # Tasks are whole, so a bound is rounded up; the solver's rounding is taken off before.
    least = max(0, ceil(answer.bound - 1e-4)) if answer.draft is not None else 0
    return StandingPart(rebuilt(case, machines, best), least)


def _take_out_of_order(draft: Draft) -> None:
    """Clear the machines of which a task stands though one that must come first does not."""
    for k, visits in enumerate(draft.machines):
        waiting = {visits.tasks[i].id for i in np.flatnonzero(draft.waiting(k))}
        if any(task.after & waiting for task in visits.tasks if task.id not in waiting):
            draft.clear(k)
            draft.reprice(k)


def _only_where_it_stood(case: Case, visits: Visits) -> Visits:
    """Return the visits at no price that move nothing, with waiting at one a task that stood.

    Where a machine has more sets of tasks than rows its tasks are not counted: a set that is
    not offered might stay.  Order is not looked at either: what leaves may still go before.
    """
    stood = np.array([t.previous is not None for t in visits.tasks])
    stays = np.zeros((len(visits.tasks), case.days, len(case.mechanics)), dtype=bool)
    for i, task in enumerate(visits.tasks):
        if task.previous is not None and task.previous.day < case.days:
            who = [m.id == task.previous.mechanic for m in case.mechanics]
            stays[i, task.previous.day] = who
    return replace(
        visits,
        cost=np.where(
            _all_stay(visits, stays[:, :, visits.lead]) & np.isfinite(visits.cost), 0.0, np.inf
        ),
        wait_cost=1.0 * stood if visits.complete else np.zeros(len(stood)),
        may_wait=np.ones(len(stood), dtype=bool),
        loss=np.zeros_like(visits.loss),
        precedence=None,
    )


def _all_stay(visits: Visits, stays: Flags) -> Flags:
    """Return (R, H, C): whether every task of a row stands there, from the same by task."""
    leaving = np.tensordot(visits.member.astype(float), (~stays).astype(float), 1)
    return np.asarray(leaving == 0)


def rebuilt(case: Case, machines: list[Visits], draft: Draft) -> Draft:
    """Return the plan `draft` with the same visits (row, first day, crew) priced otherwise."""
    built = Draft.empty(case, machines)
    for k, slots in enumerate(draft.chosen):
        for slot in slots:
            built.put(k, slot)
        built.reprice(k)
    return built


def default_move_price(problem: Problem) -> float:
    """Return the money that a move to another day must save: three times a nightly change.

    A shop without a price on changes is charged a mean visit, so that nothing moves for a cent.
    """
    if problem.weights.change_cost > 0:
        # On the day itself a change costs more than in the night's plan; three times is a
        # judgement.
        return 3.0 * problem.weights.change_cost
    costs = [m.visit_cost for m in problem.machines.values()]
    return float(np.mean(costs)) if costs and sum(costs) > 0 else 1.0
