"""Cuts: every plan keeps them, fractional solutions break them, and the bound rises by them."""

import numpy as np
import pytest

from scheduling.core.planner.bound.bound import raise_bound, start_bound, start_from
from scheduling.core.planner.bound.coupling import coupling_of
from scheduling.core.planner.bound.cuts import EVERY_DAY, Cuts
from scheduling.core.planner.bound.pricing import Pattern
from scheduling.core.planner.bound.visit_table import stack
from scheduling.core.planner.plan.greedy import greedy_plan, placed_plan
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import random_places, yard_case


def one_machine(tasks, days=3):
    names = [f"t{n}" for n in range(tasks)]
    return instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [9.0] * days), plain_mechanic("v", [9.0] * days)],
        machines=[plain_machine("m", days)],
        tasks=[plain_task(name, "m", 1.0, 1.0) for name in names],
    )


@pytest.fixture
def table():
    return stack(*yard_case(one_machine(3)))


def cuts_of(table):
    return Cuts(table, coupling_of(table))


def taken(table, shares):
    """A fractional solution: share by (set of tasks as bits, day)."""
    masks = table.machines[0].masks.tolist()
    visits = np.zeros((len(masks), table.case.days))
    for (mask, day), share in shares.items():
        visits[masks.index(mask), day] = share
    return visits


def test_half_of_each_pair_of_three_tasks_breaks_one_cut(table):
    halves = taken(table, {(0b011, 0): 0.5, (0b101, 1): 0.5, (0b110, 2): 0.5})
    (cut,) = cuts_of(table).broken(halves)
    assert (cut.day, cut.limit) == (EVERY_DAY, 1.0)
    masks = table.machines[0].masks
    assert {int(masks[row]) for row in cut.weights} == {0b011, 0b101, 0b110, 0b111}


def test_two_visits_on_one_day_break_the_day(table):
    (cut,) = cuts_of(table).broken(taken(table, {(0b001, 1): 1.0, (0b110, 1): 0.5}))
    assert (cut.day, cut.limit) == (1, 1.0)
    assert len(cut.weights) == 7


def test_a_whole_solution_breaks_nothing(table):
    assert cuts_of(table).broken(taken(table, {(0b001, 1): 1.0, (0b110, 2): 1.0})) == []


def test_a_known_cut_is_not_added_again_and_pays_by_row_and_day(table):
    cuts = cuts_of(table)
    (cut,) = cuts.broken(taken(table, {(0b001, 1): 1.0, (0b110, 1): 0.5}))
    assert cuts.add(cut)
    assert not cuts.add(cut)
    paid = cuts.paid(np.array([-2.0]))
    assert (paid[:, 1] == -2.0).all()
    assert (paid[:, [0, 2]] == 0.0).all()
    there, elsewhere = Pattern(1, 0, (0,), 0.0), Pattern(2, 0, (0,), 0.0)
    assert list(cuts.entries(there)) == [(0, 1.0)]
    assert list(cuts.entries(elsewhere)) == []


@pytest.fixture(scope="module")
def bound():
    made, machines = yard_case(CROWDED)
    bound = start_bound(made, machines)
    start_from(bound, greedy_plan(made, machines))
    raise_bound(bound, 1000, np.inf, lambda: False)
    return bound


CROWDED = yard(machines=40, mechanics=2, days=14, seed=3, load=1.1)


def test_the_cuts_raise_the_bound_and_no_plan_breaks_them(bound):
    made, machines = yard_case(CROWDED)
    cuts = bound.master.cuts.items
    assert cuts
    assert (bound.prices.cut < 0).any()
    place = {(v.machine.id, v.tasks): k for k, v in enumerate(bound.rows.machines)}
    for seed in range(30):
        draft = placed_plan(made, machines, random_places(CROWDED, seed))
        visits = [
            Pattern(day, w, (int(bound.rows.starts[place[v.machine.id, v.tasks]]) + row,), 0.0)
            for v, slots in zip(machines, draft.chosen, strict=True)
            for row, day, w in slots
        ]
        assert visits
        for cut in cuts:
            assert sum(cut.of(visit) for visit in visits) <= cut.limit


def test_at_the_end_no_cut_is_broken(bound):
    bound.master.solve()
    assert bound.master.cuts.broken(bound.master.visits()) == []


def test_a_day_that_stands_for_several_takes_more_than_one_visit_of_a_machine():
    """Three tasks of one machine need three days; six equal days are one lane of the programme."""
    tasks = [plain_task(f"t{n}", "m", 3.0, 3.0) for n in range(3)]
    case = instance(
        6,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [4.0] * 6)],
        machines=[plain_machine("m", 6, visit_cost=5.0)],
        tasks=tasks,
    )
    case |= {"weights": free_weights() | {"deferred_visit_share": 10.0}}
    bound = start_bound(*yard_case(case))
    raise_bound(bound, 200, np.inf, lambda: False)
    assert bound.pricer.lanes.count.tolist() == [6]
    assert bound.value <= 15.0 + 1e-6
