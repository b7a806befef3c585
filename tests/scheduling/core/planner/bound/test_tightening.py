"""Cuts over several machines: their pricing against every pattern there is, and what they prove."""

from itertools import product
from random import Random

import numpy as np
import pytest

from scheduling.core.planner.bound.bound import raise_bound, start_bound, start_from
from scheduling.core.planner.bound.cut_pricing import CutPricer
from scheduling.core.planner.bound.cuts import Cuts
from scheduling.core.planner.bound.set_cuts import SetCut
from scheduling.core.planner.bound.tightening import Tightening
from scheduling.core.planner.plan.greedy import greedy_plan
from scheduling.core.planner.search.ruin import WARM, ruin_and_recreate
from tests.benchmarks.plan_instances import small, yard
from tests.scheduling.core.planner.cases import proven, yard_case


def start(case):
    made, machines = yard_case(case)
    bound = start_bound(made, machines)
    first = greedy_plan(made, machines)
    start_from(bound, first)
    return bound, first


def set_cut(rows, tasks):
    by_task = [frozenset(np.flatnonzero(rows.member[:, t]).tolist()) for t in tasks]
    return SetCut(tuple(tasks), tuple(by_task))


def cheapest(bound, reduced, cuts, prices, lane):
    """The least price over every pattern of one mechanic-day, charges included."""
    rows, pricer = bound.rows, bound.pricer
    choices = [[None, *rows.of_machine(k)] for k in range(len(rows.machines))]
    least = 0.0
    for chosen in product(*choices):
        taken = [r for r in chosen if r is not None]
        if taken and np.isfinite(reduced[taken, lane]).all() and fits(pricer, lane, taken):
            pattern = pricer.pattern(lane, taken)
            extra = pattern.cost - rows.cost[taken, pattern.day, pattern.mechanic].sum()
            price = reduced[taken, lane].sum() + extra
            price -= sum(p * c.of(pattern) for c, p in zip(cuts.items, prices, strict=True))
            least = min(least, price)
    return least


def fits(pricer, lane, taken):
    case = pricer.rows.case
    sites = {
        int(pricer.rows.site[np.searchsorted(pricer.rows.starts, r, "right") - 1]) for r in taken
    }
    total = int(pricer.rows.time[taken].sum()) + sum(int(case.travel[s]) for s in sites if s >= 0)
    return total <= case.longest[pricer.days[lane], pricer.mechanics[lane]]


@pytest.mark.parametrize("seed", range(6))
def test_pricing_with_charges_finds_the_cheapest_of_all_patterns(seed):
    bound, _ = start(small(seed, machines=4))
    rng = np.random.default_rng(seed)
    tasks = bound.rows.member.shape[1]
    cuts = Cuts(bound.rows, bound.coupling)
    for _ in range(8):
        cuts.add(set_cut(bound.rows, sorted(rng.choice(tasks, 3, replace=False).tolist())))
    prices = -rng.uniform(1.0, 40.0, len(cuts.items))
    wish = bound.rows.member @ rng.uniform(20.0, 160.0, tasks)
    reduced = bound.pricer.flat(bound.rows.cost - wish[:, None, None])
    values, patterns = CutPricer(bound.pricer, cuts, prices).best(reduced)
    least = [cheapest(bound, reduced, cuts, prices, n) for n in range(len(values))]
    assert values == pytest.approx(least, abs=1e-6)
    assert min(least) < 0
    assert patterns


def test_a_branching_that_is_stopped_early_still_bounds_from_below():
    bound, _ = start(small(2, machines=4))
    tasks = bound.rows.member.shape[1]
    cuts = Cuts(bound.rows, bound.coupling)
    for n in range(tasks - 2):
        cuts.add(set_cut(bound.rows, [n, n + 1, n + 2]))
    prices = np.full(len(cuts.items), -30.0)
    reduced = bound.pricer.flat(
        bound.rows.cost - 90.0 * bound.rows.member.sum(axis=1)[:, None, None]
    )
    values, _ = CutPricer(bound.pricer, cuts, prices, lambda: True).best(reduced)
    least = [cheapest(bound, reduced, cuts, prices, n) for n in range(len(values))]
    assert (values <= np.array(least) + 1e-9).all()


def tightened(case):
    bound, first = start(case)
    raise_bound(bound, 1000, np.inf, lambda: False)
    tightening, before = Tightening(bound, lambda: False), bound.value
    while not tightening.over:
        tightening.step()
    return bound, tightening, before, first


@pytest.mark.parametrize("seed", range(4))
def test_the_tightened_bound_is_no_more_than_the_least_cost(seed):
    case = small(seed, machines=6)
    _, tightening, before, _ = tightened(case)
    assert before <= tightening.value <= proven(case) + 1e-6


def test_cuts_over_several_machines_raise_the_bound_of_a_yard_and_no_plan_breaks_them():
    case = yard(machines=60, mechanics=3, days=14, seed=2, load=1.1)
    bound, tightening, before, first = tightened(case)
    sets = [cut for cut in bound.master.cuts.items if isinstance(cut, SetCut)]
    assert sets
    assert tightening.value > before
    place = {(v.machine.id, v.tasks): k for k, v in enumerate(bound.rows.machines)}
    for seed in range(5):
        plan = ruin_and_recreate(first, WARM.over(40), Random(seed), lambda: False)
        days: dict = {}
        for visits, slots in zip(plan.machines, plan.chosen, strict=True):
            begin = int(bound.rows.starts[place[visits.machine.id, visits.tasks]])
            for row, day, w in slots:
                days.setdefault((day, w), []).append(begin + row)
        patterns = [bound.pricer.pattern(bound.pricer.lanes.of_spot[s], r) for s, r in days.items()]
        for cut in sets:
            assert sum(cut.of(p) for p in patterns) <= cut.limit
        assert plan.total() >= tightening.value
