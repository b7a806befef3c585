"""The search on a yard of middle size: no plan of any stage below the bound, none worse than given.

The stopwatch counts processor time, so that a busy machine changes nothing.
"""

import time
from operator import attrgetter

import pytest

from scheduling.core.planner import RunLimits, Tuning, read_problem, solve
from scheduling.core.planner.control.watch import Watch
from scheduling.core.planner.plan.greedy import greedy_plan, standing_plan
from scheduling.core.planner.problem.case import case_of
from scheduling.core.planner.search.search import Search
from scheduling.core.planner.visits.visits import visits_of
from tests.benchmarks.plan_instances import sprinkled, yard
from tests.in_time import first_in_time
from tests.scheduling.core.planner.cases import plan

MIDDLE = {"machines": 200, "mechanics": 3, "days": 28}


class Recorder(Search):
    """A search that remembers the cost of every plan it was offered, and every bound."""

    def __init__(self, *args):
        self.costs, self.bounds = [], []
        super().__init__(*args)

    def offer(self, draft):
        self.costs.append(draft.total())
        super().offer(draft)

    def say(self, stage=None):
        self.bounds.append(self.proven)
        super().say(stage)


def test_no_plan_of_any_stage_costs_less_than_any_bound_that_was_proven():
    problem = read_problem(yard(**MIDDLE, seed=1))
    watch = Watch.start(time.process_time, 5.0)
    search = Recorder(problem, RunLimits(5.0), watch)
    search.first_plans()
    search.run()
    assert len(search.costs) > 5
    assert len(set(search.bounds)) > 5
    assert max(search.bounds) == search.proven
    assert min(search.costs) >= search.proven - 1e-6
    assert search.best.total() == min(search.costs)


@pytest.mark.parametrize("seconds", [0.05, 0.5, 4.0])
def test_however_short_the_time_it_is_kept_and_no_worse_than_greedy(seconds):
    problem = read_problem(yard(**MIDDLE, seed=3))
    case = case_of(problem)
    greedy = greedy_plan(case, visits_of(case)).total()
    limits, longest = RunLimits(seconds, clock=time.process_time), 1.1 * seconds + FIRST_PLANS
    result = first_in_time(lambda: solve(problem, limits), attrgetter("seconds"), longest)
    assert result.seconds < longest
    assert result.total <= greedy + 1e-6
    assert seconds < 1.0 or result.total < 0.9 * greedy


FIRST_PLANS = 0.3
"""Seconds for reading the yard and its first plans, which are always made."""


@pytest.mark.parametrize("seconds", [0.5, 2.0])
def test_no_worse_than_greedy_or_the_plan_that_stands_at_todays_prices(seconds):
    case = yard(**MIDDLE, seed=4)
    before = solve(read_problem(case), RunLimits(2.0, clock=time.process_time))
    stood = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in before.assignments}
    for task in case["tasks"]:
        task["previous"] = stood.get(task["id"])
        task["due"] = {name: day - 1.0 for name, day in task["due"].items()}
    problem = read_problem(case)
    arrays = case_of(problem)
    machines = visits_of(arrays)
    standing = standing_plan(arrays, machines).total()
    greedy = greedy_plan(arrays, machines).total()
    after = solve(problem, RunLimits(seconds, clock=time.process_time))
    assert after.total <= min(standing, greedy) + 1e-6


@pytest.mark.parametrize("workers", [1, 2])
def test_a_run_that_ends_by_its_gap_repeats_itself(workers):
    problem = read_problem(yard(machines=60, mechanics=2, days=14, seed=5))
    limits = RunLimits(300.0, workers, seed=7, gap=0.008, tuning=Tuning(first_work=0.2))
    first, second = solve(problem, limits), solve(problem, limits)
    assert first.stopped == second.stopped
    assert first.stopped != "time"
    assert first.assignments == second.assignments
    assert first.bound == second.bound


class Ticking:
    """A clock that goes by its being read: so many readings are so many steps of a search."""

    def __init__(self):
        self.now = 0.0

    def __call__(self):
        self.now += 1.0
        return self.now


@pytest.mark.parametrize("workers", [1, 2])
def test_more_time_never_gives_a_worse_plan(workers):
    case = sprinkled(machines=25, mechanics=2, days=14, seed=11, load=0.9)
    totals = []
    for steps in (3, 10, 30, 60, 100, 150, 220, 300, 400, 500):
        limits = RunLimits(float(steps), workers, clock=Ticking())
        totals.append(solve(read_problem(case), limits).total)
    assert totals == sorted(totals, reverse=True)
    assert len(set(totals)) > 3


def test_a_search_goes_on_from_the_plan_that_it_is_given():
    case = yard(machines=30, mechanics=2, days=14, seed=5, load=1.0)
    found = plan(case, 3.0)
    longest = RunLimits(8.0, clock=Ticking())
    alone = solve(read_problem(case), longest)
    on = solve(read_problem(case), RunLimits(8.0, clock=Ticking()), start=found.places())
    assert on.total <= found.total + 1e-6 < alone.total
