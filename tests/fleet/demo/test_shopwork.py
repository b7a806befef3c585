from datetime import date

import numpy as np

from fleet.demo.duepoints import NEVER, Point, begin, meet
from fleet.demo.scenario import scenario
from fleet.demo.shopwork import Course, Done, PastRecords, due_day, serve

FIRST = date(2025, 6, 1).toordinal()
DAYS = np.arange(FIRST, FIRST + 540)
START = Done(FIRST, {"hours": 1_000.0})


def course(a_day=2.0, free=None):
    life = 1_000.0 + a_day * np.arange(len(DAYS) + 1)
    return Course(DAYS, {"hours": life}, np.ones(len(DAYS), bool) if free is None else free)


def test_a_service_falls_due_by_the_side_that_comes_first():
    rule = {"service": "s", "meter_kind": "hours", "every": 100, "every_months": 1}
    assert due_day(rule, course(), Point(life=1_100.0, day=FIRST + 30)) == FIRST + 30
    assert due_day(rule, course(), Point(life=1_100.0, day=FIRST + 80)) == FIRST + 50


def test_a_point_that_is_not_reached_in_these_days_is_never_due():
    rule = {"service": "s", "meter_kind": "hours", "every": 9_000}
    assert due_day(rule, course(), Point(life=10_000.0)) == NEVER
    assert due_day(rule | {"meter_kind": "cycles"}, course(), Point(life=1_100.0)) == NEVER


def run(rules, seed=1, free=None):
    book = PastRecords({}, START, scenario().covers())
    return serve(np.random.default_rng(seed), rules, course(free=free), book)


RULES = [
    {"service": "grease-50", "meter_kind": "hours", "every": 50},
    {"service": "engine-250", "meter_kind": "hours", "every": 250},
    {"service": "engine-500", "meter_kind": "hours", "every": 500, "every_months": 12},
]


def test_services_come_about_as_often_as_their_interval_says():
    # 540 days at 2 h are 1,080 h: 21 times 50 h, fewer where a larger service covers it.
    visits = run(RULES)
    greased = sum(
        "grease-50" in v.services or "engine-250" in v.services or "engine-500" in v.services
        for v in visits
    )
    assert 17 <= greased <= 25


def test_a_covered_service_is_not_done_beside_the_one_that_covers_it():
    for visit in run(RULES):
        if "engine-500" in visit.services:
            assert visit.services == ("engine-500",)


def test_the_shop_works_only_on_days_on_which_the_machine_is_in():
    free = np.arange(len(DAYS)) % 9 == 0
    assert all(free[visit.day - FIRST] for visit in run(RULES, free=free))


def test_a_hard_limit_is_never_passed():
    rule = {"service": "lift-frequent", "every_months": 3, "hard": True}
    for seed in range(20):
        due = begin(rule, FIRST, 0.0, 1.0)
        visits = run([rule], seed)
        for visit in visits:
            assert visit.day <= due.day
            due = meet(rule, due, visit.day, None, 1.0)
        assert len(visits) >= 5


def test_the_shop_does_nothing_before_it_may_act():
    book = PastRecords({}, START, scenario().covers(), since=FIRST + 200)
    visits = serve(np.random.default_rng(1), RULES, course(), book)
    assert visits[0].day >= FIRST + 200


def test_the_same_seed_serves_the_same():
    assert run(RULES, seed=9) == run(RULES, seed=9)


def test_a_machine_that_is_out_from_its_first_day_is_served_when_it_is_back():
    free = np.arange(len(DAYS)) >= 60
    visits = run(RULES[:1], free=free)
    assert all(free[visit.day - FIRST] for visit in visits)


def test_a_new_machine_is_not_served_before_it_starts():
    start = Done(FIRST + 100, {"hours": 1_200.0})
    rule = {"service": "grease-50", "meter_kind": "hours", "every": 50, "first_at": 1}
    for seed in range(10):
        book = PastRecords({}, start, scenario().covers())
        assert serve(np.random.default_rng(seed), [rule], course(), book)[0].day > FIRST + 100
