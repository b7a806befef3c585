"""Covers of a part's stock: every plan keeps them, and the bound meets the best plan by them."""

import numpy as np
import pytest

from scheduling.core.planner.bound.bound import raise_bound, start_bound
from scheduling.core.planner.bound.cover_cuts import broken_covers, shelves_of
from scheduling.core.planner.bound.pricing import Pattern
from scheduling.core.planner.plan.greedy import placed_plan
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import proven, random_places, yard_case

DAYS = 4
WANTED = (4, 5, 6, 7, 3)


def short(on_hand=9.0, arrivals=()):
    """Five machines that want oil, of which there is too little; each waits at 10 a day."""
    return instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * DAYS)],
        parts=[{"id": "oil", "yard": "y", "on_hand": on_hand, "arrivals": list(arrivals)}],
        machines=[plain_machine(f"m{n}", DAYS) for n in range(len(WANTED))],
        tasks=[
            plain_task(
                f"t{n}", f"m{n}", 1.0, 0.0, overdue_cost_per_day=10.0,
                parts=[{"part": "oil", "quantity": wanted}],
            )
            for n, wanted in enumerate(WANTED)
        ],
    ) | {"weights": free_weights() | {"deferred_days": 6.0}}  # fmt: skip


CASES = {
    "never enough": short(),
    "late": short(arrivals=[{"day": 2, "quantity": 20.0}]),
    "late and not enough": short(arrivals=[{"day": 2, "quantity": 5.0}]),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_the_bound_meets_the_best_plan_as_no_task_is_done_in_part(case):
    made, machines = yard_case(case)
    bound = start_bound(made, machines)
    raise_bound(bound, 1000, np.inf, lambda: False)
    assert any(cut.key[0] == "cover" for cut in bound.master.cuts.items)
    assert bound.value == pytest.approx(proven(case), rel=1e-4)


def broken(case, done):
    """The cuts that a solution breaks in which so much of each task is done on day 0."""
    bound = start_bound(*yard_case(case))
    rows, coupling = bound.rows, bound.coupling
    limits = (coupling.stock_part, coupling.stock_day, coupling.stock_limit)
    visits = np.zeros((len(rows.time), DAYS))
    visits[:, 0] = done
    return bound, list(broken_covers(rows, shelves_of(rows, *limits), visits))


def test_a_larger_want_counts_too():
    # 4 and 6 want more than 9: of 4, 6 and all that want 6 or more, one is done.
    bound, cuts = broken(short(), [1.0, 0.0, 0.83, 0.0, 0.0])
    assert (0, 2, 3) in {cut.tasks for cut in cuts}
    assert {cut.limit for cut in cuts if cut.tasks == (0, 2, 3)} == {1.0}
    assert bound.coupling.stock_limit.tolist() == [9.0]


def test_what_the_shelf_has_breaks_nothing():
    assert broken(short(), [1.0, 1.0, 0.0, 0.0, 0.0])[1] == []


def test_no_plan_breaks_a_cover():
    rng = np.random.default_rng(4)
    found = [cut for _ in range(20) for cut in broken(CASES["late"], rng.uniform(0, 1, 5))[1]]
    assert {cut.day for cut in found} == {1}
    made, machines = yard_case(CASES["late"])
    for seed in range(40):
        draft = placed_plan(made, machines, random_places(CASES["late"], seed))
        done = [Pattern(day, 0, (k,), 0.0) for k, s in enumerate(draft.chosen) for _, day, _ in s]
        for cut in found:
            assert sum(cut.of(visit) for visit in done) <= cut.limit


def test_a_cover_pays_each_visit_that_counts_until_its_day():
    bound, _ = broken(CASES["late"], np.zeros(5))
    _, cuts = broken(CASES["late"], [1.0, 0.0, 0.83, 0.0, 0.0])
    cut = next(c for c in cuts if c.tasks == (0, 2, 3))
    paid = np.zeros((len(bound.rows.time), DAYS))
    cut.pay(paid, -3.0)
    assert paid[[0, 2, 3], :2].tolist() == [[-3.0, -3.0]] * 3
    assert paid[:, 2:].any() == paid[[1, 4]].any() == False  # noqa: E712
