"""What an hour or a bay is worth, against cases in which it can be seen by eye or by solving.

The worth comes from a relaxation.  So what is really gained is at most the worth plus what the
plan may be dearer than its bound.
"""

import copy
import time

import numpy as np
import pytest

from scheduling.core.planner import RunLimits, read_problem
from scheduling.core.planner.bound.bound import raise_bound, start_bound, start_from
from scheduling.core.planner.bound.shadow_prices import shadow_prices_of
from scheduling.core.planner.control.watch import Watch
from scheduling.core.planner.plan.greedy import greedy_plan
from scheduling.core.planner.search.search import Search
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.scheduling.core.planner.cases import proven, yard_case


def bound_of(case):
    made, machines = yard_case(case)
    bound = start_bound(made, machines)
    assert shadow_prices_of(bound) is None
    start_from(bound, greedy_plan(made, machines))
    raise_bound(bound, 1000, np.inf, lambda: False)
    return bound


def overtime_case(hours):
    """Six hours of work that cannot wait, on one day, with overtime at 50 an hour."""
    return instance(
        2,
        yards=[plain_yard()],
        mechanics=[
            plain_mechanic("w", [hours, 0.0], overtime_limit_hours=6.0, overtime_cost_per_hour=50.0)
        ],
        machines=[plain_machine("m", 2)],
        tasks=[plain_task("t", "m", 6.0, 0.0, overdue_cost_per_day=500.0)],
    ) | {"weights": free_weights() | {"deferred_days": 9}}


@pytest.mark.parametrize(("hours", "worth"), [(4.0, 50.0), (5.5, 25.0), (6.0, 0.0), (9.0, 0.0)])
def test_an_hour_saves_the_overtime_that_it_replaces(hours, worth):
    found = shadow_prices_of(bound_of(overtime_case(hours)))
    assert found.mechanics == ("w",)
    assert found.hour[0, 0] == pytest.approx(worth)
    assert found.hour[1, 0] == 0.0


def test_a_bay_is_worth_what_the_second_machine_pays_for_waiting():
    """Two machines, half a bay on the first day; each costs 40 more on the second day."""
    case = instance(
        2,
        yards=[plain_yard(bays=0.5) | {"loaned_bays": [0, 1]}],
        mechanics=[plain_mechanic("w", [9.0, 9.0])],
        machines=[plain_machine(f"m{n}", 2) for n in range(2)],
        tasks=[plain_task(f"t{n}", f"m{n}", 1.0, 0.0, overdue_cost_per_day=40.0) for n in range(2)],
    ) | {"weights": free_weights() | {"deferred_days": 9}}
    found = shadow_prices_of(bound_of(case))
    assert found.bay.tolist() == pytest.approx([80.0, 0.0])  # a whole bay takes both
    assert found.hour.max() == 0.0


def test_no_hour_is_worth_less_than_nothing_or_more_than_it_saves():
    """The bound with an hour more on every day falls by at most the sum of what they are worth."""
    case = yard(machines=25, mechanics=2, days=14, seed=4, load=1.1)
    bound = bound_of(case)
    found = shadow_prices_of(bound)
    assert (found.hour >= 0).all()
    assert found.hour.max() > 0
    longer = yard(machines=25, mechanics=2, days=14, seed=4, load=1.1)
    for mechanic in longer["mechanics"]:
        mechanic["hours"] = [h + 1.0 if h else 0.0 for h in mechanic["hours"]]
    saved = bound.value - bound_of(longer).value
    assert 0 < saved <= found.hour.sum() + 1e-6


def proven_search(case):
    watch = Watch.start(time.process_time, 30.0)
    search = Search(read_problem(case), RunLimits(), watch)
    search.first_plans()
    search.run()
    assert search.stopped() == "optimal"
    return search, shadow_prices_of(search.bound)


def with_an_hour(case, day, w):
    more = copy.deepcopy(case)
    more["mechanics"][w]["hours"][day] += 1.0
    return more


@pytest.mark.parametrize("seed", range(6))
def test_an_hour_more_gains_at_most_its_worth_and_what_the_bound_leaves_open(seed):
    case = small(seed)
    search, worth = proven_search(case)
    total = search.best.total()
    open_money = total - search.bound.value
    for day in range(case["horizon_days"]):
        for w in range(len(case["mechanics"])):
            gain = total - proven(with_an_hour(case, day, w))
            assert gain <= worth.hour[day, w] + open_money + 1e-6
            assert gain >= -1e-6


@pytest.mark.parametrize("seed", range(4))
def test_a_bay_more_gains_at_most_its_worth_and_what_the_bound_leaves_open(seed):
    case = small(seed) | {"yards": [{"id": "y", "bays": 0.5, "closed_days": []}]}
    search, worth = proven_search(case)
    for day in range(case["horizon_days"]):
        eased = copy.deepcopy(case)
        loaned = [0] * case["horizon_days"]
        loaned[day] = 1
        eased["yards"][0]["loaned_bays"] = loaned
        gain = search.best.total() - proven(eased)
        most = worth.bay[day] + search.best.total() - search.bound.value
        assert gain <= most + 1e-6
