from random import Random

import numpy as np
import pytest

from scheduling.core.planner.plan.cost import price
from scheduling.core.planner.plan.draft import Draft
from scheduling.core.planner.plan.replan_machine import replan
from tests.benchmarks.plan_instances import yard
from tests.plan_check import check
from tests.scheduling.core.planner.cases import yard_case


@pytest.fixture
def draft():
    """Thirty machines planned one after the other in a random order."""
    made, machines = yard_case(yard(machines=30, mechanics=2, days=14, seed=4))
    draft = Draft.empty(made, machines)
    order = list(range(len(machines)))
    Random(4).shuffle(order)
    for k in order:
        replan(draft, k)
    return draft


def test_the_total_is_the_price_of_the_places(draft):
    paid = sum(price(draft.case.problem, draft.places()).values())
    assert draft.total() == pytest.approx(paid + draft.case.resort * len(draft.unkept()))


def test_taking_everything_out_leaves_nothing_behind(draft):
    for k in range(len(draft.machines)):
        draft.clear(k)
        draft.reprice(k)
    empty = Draft.empty(draft.case, draft.machines)
    assert draft.total() == pytest.approx(empty.total())
    for used, none in (
        (draft.used, empty.used),
        (draft.bays, empty.bays),
        (draft.drawn, empty.drawn),
    ):
        np.testing.assert_array_equal(used, none)
    np.testing.assert_array_equal(draft.trips, empty.trips)


def test_one_more_visit_adds_what_was_announced(draft):
    """For each machine alone out of the plan and its cheapest visit, tasks and bookings apart."""
    for k, visits in enumerate(draft.machines):
        without = draft.copy()
        without.clear(k)
        prices = without.price_of_one_more(k)
        slot = tuple(int(i) for i in np.unravel_index(prices.argmin(), prices.shape))
        shared = sum(without.shared_money().values())
        without.put(k, slot)
        added = sum(without.shared_money().values()) - shared
        own = visits.cost[slot] + visits.lost[slot[:2]] @ visits.loss
        assert prices[slot] == pytest.approx(added + own)


def test_a_copy_is_changed_apart(draft):
    before, copy = draft.total(), draft.copy()
    copy.clear(0)
    copy.reprice(0)
    assert draft.total() == before
    assert draft.chosen[0] != copy.chosen[0]


def test_a_full_plan_breaks_no_rule_of_room(draft):
    case = yard(machines=30, mechanics=2, days=14, seed=4)
    rows = [{"task": t, "day": s.day, "mechanic": s.mechanic} for t, s in draft.places().items()]
    waiting = [t["id"] for t in case["tasks"] if t["id"] not in draft.places()]
    made = {"assignments": rows, "deferred": waiting, "blocked_bookings": []}
    assert check(case, made).rules() <= {"blocked", "limit"}
