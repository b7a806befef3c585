"""The knapsack over all mechanic-days against trying every pattern."""

from itertools import product

import numpy as np
import pytest

from scheduling.core.planner.bound.coupling import coupling_of
from scheduling.core.planner.bound.lanes import lanes_of
from scheduling.core.planner.bound.pricing import Pricer
from scheduling.core.planner.bound.visit_table import stack
from tests.benchmarks.plan_instances import small
from tests.scheduling.core.planner.cases import yard_case


def priced(seed):
    """A small yard's rows with prices that make about half of the visits pay."""
    rows = stack(*yard_case(small(seed, machines=4)))
    pricer = Pricer(rows, lanes_of(rows, coupling_of(rows)))
    rng = np.random.default_rng(seed)
    paid = rng.uniform(0, 400, size=(len(rows.cost), 1, 1))
    return rows, pricer, pricer.flat(rows.cost - paid)


def patterns(rows, pricer, reduced, lane):
    """Every pattern of a mechanic-day: its rows and its price, infinite where it does not fit."""
    for choice in product(*([None, *rows.of_machine(k)] for k in range(len(rows.machines)))):
        chosen = [r for r in choice if r is not None]
        sites = {int(rows.site[k]) for k, r in enumerate(choice) if r is not None} - {-1}
        day, w = pricer.days[lane], pricer.mechanics[lane]
        total = sum(rows.time[r] for r in chosen) + sum(rows.case.travel[s] for s in sites)
        over = max(0, total - rows.case.regular[day, w])
        money = sum(reduced[r, lane] for r in chosen) + over * rows.case.overtime[w]
        money += sum(rows.case.trip_cost[s] for s in sites)
        yield chosen, money if total <= rows.case.longest[day, w] else np.inf


@pytest.mark.parametrize("seed", range(5))
def test_the_best_pattern_of_each_mechanic_day_is_found(seed):
    rows, pricer, reduced = priced(seed)
    values, found = pricer.best(reduced)
    for lane in range(len(pricer.days)):
        best = min(money for _, money in patterns(rows, pricer, reduced, lane))
        assert values[lane] == pytest.approx(best)
    by_spot = {(p.day, p.mechanic): p for p in found}
    assert len(by_spot) == (values < 0).sum() > 0


@pytest.mark.parametrize("seed", range(5))
def test_a_pattern_traced_back_costs_its_value(seed):
    rows, pricer, reduced = priced(seed)
    values, found = pricer.best(reduced)
    lanes = {s: n for n, s in enumerate(zip(pricer.days, pricer.mechanics, strict=True))}
    for pattern in found:
        lane, chosen = lanes[pattern.day, pattern.mechanic], list(pattern.rows)
        paid = (pricer.flat(rows.cost)[chosen, lane] - reduced[chosen, lane]).sum()
        assert pattern.cost - paid == pytest.approx(values[lane])


@pytest.mark.parametrize("seed", range(3))
def test_the_best_pattern_that_holds_a_visit_is_known_for_each_visit(seed):
    rows, pricer, reduced = priced(seed)
    values, least = pricer.including(reduced)
    assert values == pytest.approx(pricer.best(reduced)[0])
    for lane in range(len(pricer.days)):
        expected = np.full(len(reduced), np.inf)
        for chosen, money in patterns(rows, pricer, reduced, lane):
            expected[chosen] = np.minimum(expected[chosen], money)
        np.testing.assert_allclose(least[:, lane], expected)
