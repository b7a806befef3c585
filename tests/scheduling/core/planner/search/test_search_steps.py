"""Every step of the search: what it returns is a plan that keeps the rules and is not worse."""

from dataclasses import replace
from random import Random

import pytest

from scheduling.core.planner import RunLimits
from scheduling.core.planner.bound.bound import raise_bound, start_bound, start_from
from scheduling.core.planner.control.watch import Watch
from scheduling.core.planner.plan.cost import blocked_bookings
from scheduling.core.planner.plan.greedy import (
    by_length,
    by_stake,
    by_urgency,
    completed,
    greedy_plan,
    settled,
)
from scheduling.core.planner.search.candidates import all_visits, rises_of, within
from scheduling.core.planner.search.dive import Dive
from scheduling.core.planner.search.exact_model import Effort, Model
from scheduling.core.planner.search.pattern_plan import PatternPlan, owners_of
from scheduling.core.planner.search.polish import Polish
from scheduling.core.planner.search.rounding import Rounding, best_rounding
from scheduling.core.planner.search.ruin import WARM, related_machines, ruin_and_recreate
from scheduling.core.planner.search.stand_ins import StandIns
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import proven, yard_case

CASE = yard(machines=30, mechanics=2, days=14, seed=9, load=0.8)
FOREVER = Watch(lambda: 0.0, 0.0, 1e9)


def never():
    return False


@pytest.fixture(scope="module")
def first():
    return greedy_plan(*yard_case(CASE))


@pytest.fixture(scope="module")
def bound(first):
    bound = start_bound(first.case, first.machines)
    start_from(bound, first)
    raise_bound(bound, 1000, 1e18, never)
    return bound


def assert_plan(draft):
    """The independent checker finds no fault and the same total."""
    places = draft.places()
    rows = [{"task": t, "day": s.day, "mechanic": s.mechanic} for t, s in places.items()]
    waiting = [t["id"] for t in CASE["tasks"] if t["id"] not in places]
    lost = blocked_bookings(draft.case.problem, places)
    report = check(CASE, {"assignments": rows, "deferred": waiting, "blocked_bookings": lost})
    assert report.faults == []
    assert draft.total() == pytest.approx(report.total)


def test_the_greedy_plan_keeps_the_rules(first):
    assert_plan(first)


@pytest.mark.parametrize("step", [completed, settled])
def test_planning_machines_anew_is_never_worse(first, step):
    after = step(first)
    assert_plan(after)
    assert after.total() <= first.total()


def test_ruin_and_recreate_improves_and_repeats_itself(first):
    runs = [ruin_and_recreate(first, WARM.over(150), Random(1), never) for _ in range(2)]
    assert_plan(runs[0])
    assert runs[0].total() < first.total()
    assert runs[0].chosen == runs[1].chosen


def test_ruin_and_recreate_stops_when_told(first):
    assert ruin_and_recreate(first, WARM.over(10**9), Random(1), lambda: True) is first


def test_related_machines_are_distinct_and_as_many_as_asked(first):
    for size in (1, 5, 12):
        found = related_machines(first, Random(size), size)
        assert len(set(found)) == len(found) == min(size, len(first.machines))
        assert related_machines(first, Random(size), size, seed=7)[0] == 7


def test_the_rounded_plan_keeps_the_rules_and_lies_above_the_bound(first, bound):
    rounded = best_rounding(Rounding(bound, first.machines), 10, Random(2), never)
    assert_plan(rounded)
    assert bound.value <= rounded.total()


@pytest.mark.parametrize("rng", [None, Random(3)])
def test_a_dive_keeps_the_rules_and_gives_the_programme_back(first, bound, rng):
    before = bound.master.solve()
    dive = Dive(bound, first.machines, never, first.total(), rng)
    plan = dive.plan()
    assert_plan(plan)
    assert bound.value <= plan.total() < first.total()
    assert dive.held
    # Solved to its end before, it can gain nothing by the patterns that were added.
    assert bound.master.solve() == pytest.approx(before)


def test_no_step_of_a_dive_solves_the_programme_more_than_once(first, bound, monkeypatch):
    dive, solved, solve = Dive(bound, first.machines, never, first.total()), [], bound.master.solve
    monkeypatch.setattr(bound.master, "solve", lambda: solved.append(None) or solve())
    most = 0
    while not dive.over:
        solved.clear()
        dive.step()
        most = max(most, len(solved))
    assert most == 1
    assert dive.leave() is not None


def test_a_dive_that_leads_to_nothing_wanted_is_given_up(first, bound):
    before = bound.master.solve()
    assert Dive(bound, first.machines, never, 0.9 * bound.value).plan() is None
    assert Dive(bound, first.machines, lambda: True, first.total()).plan() is None
    assert bound.master.solve() == pytest.approx(before)


def test_a_pattern_is_taken_whole_or_not_at_all(first, bound):
    owners = owners_of(bound, first.machines)
    pattern = max(bound.master.patterns, key=lambda p: len(p.rows))
    plan = PatternPlan(bound, first.machines, owners)
    taken = plan.take(replace(pattern, rows=pattern.rows[:1]), whole=True)
    done = plan.done.copy()
    assert taken == list(pattern.rows[:1])
    # Its first visit is done already: with `whole` the others stay out too, else they come in.
    free = [list(spots) for spots in plan.free]
    plan.free[plan.lane(pattern)].append((pattern.day, pattern.mechanic))
    assert plan.take(pattern, whole=True) == []
    assert (plan.done == done).all()
    assert plan.take(pattern, whole=False) == list(pattern.rows[1:])
    assert plan.free == free


def test_the_exact_solver_plans_a_group_better_around_the_rest(first):
    free = list(range(0, len(first.machines), 2))
    answer = Model(first, free, all_visits(first.machines)).solve(Effort(1.0, 20.0, 1, 0))
    assert_plan(answer.draft)
    assert answer.bound <= answer.draft.total() < first.total()
    for k in set(range(len(first.machines))) - set(free):
        assert answer.draft.chosen[k] == first.chosen[k]


@pytest.mark.parametrize(("workers", "turns"), [(1, 1), (1, 3), (2, 1), (2, 3)])
def test_polishing_is_never_worse_and_repeats_itself(first, bound, workers, turns):
    rises, limits = rises_of(bound, first.machines), RunLimits(workers=workers)
    polishes = [Polish(rises, bound.value, limits, FOREVER, StandIns(first.machines)) for _ in "ab"]
    runs = [polish.once(first, 0.2, Random(3), turns=turns) for polish in polishes]
    assert_plan(runs[0])
    assert runs[0].total() < first.total()
    assert runs[0].chosen == runs[1].chosen
    assert polishes[0].size == polishes[1].size


def test_a_group_goes_on_from_what_the_one_before_it_found(first, bound):
    rises = rises_of(bound, first.machines)
    totals = []
    for turns in (1, 2, 8):
        polish = Polish(rises, bound.value, RunLimits(), FOREVER, StandIns(first.machines))
        totals.append(polish.once(first, 0.2, Random(3), turns=turns).total())
    # A group may find nothing better, but none takes back what another found.
    assert totals == sorted(totals, reverse=True)
    assert totals[2] < totals[0]


def test_less_room_keeps_fewer_visits_and_never_one_that_a_rule_forbids(first, bound):
    rises = rises_of(bound, first.machines)
    kept = [within(rises, room) for room in (0.0, 50.0, 1e18)]
    counts = [sum(int(k.sum()) for k in keep) for keep in kept]
    assert 0 < counts[0] < counts[1] < counts[2]
    for keep, every in zip(kept[-1], all_visits(first.machines), strict=True):
        assert not (keep & ~every).any()


@pytest.mark.parametrize("seed", range(4))
def test_visits_that_cannot_improve_are_dropped_and_no_others(seed):
    """The least cost over the visits kept below a plan's cost is the least cost of all."""
    made, machines = yard_case(small(seed, machines=5))
    start = greedy_plan(made, machines)
    bound = start_bound(made, machines)
    start_from(bound, start)
    raise_bound(bound, 1000, 1e18, never)
    best = proven(small(seed, machines=5))
    keep = within(rises_of(bound, machines), best * 1.001 - bound.value)
    dropped = sum(int((a & ~b).sum()) for a, b in zip(all_visits(machines), keep, strict=True))
    assert dropped > 0
    answer = Model(start, list(range(len(machines))), keep).solve(Effort(50.0, 60.0, 1, 0))
    assert answer.proven
    assert answer.draft.total() == pytest.approx(best)


@pytest.mark.parametrize("after", [[], ["t0"]], ids=["any order", "order"])
@pytest.mark.parametrize("tasks", [6, 7, 12])
def test_a_machine_with_many_tasks_is_planned_visit_by_visit(tasks, after):
    """A full day holds two of them; beyond six not every set is offered, yet all are planned."""
    days = tasks
    rates = {"overdue_cost_per_day": 9.0, "waste_cost_per_day": 1.0}
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * days)],
        machines=[plain_machine("m", days, visit_cost=30.0)],
        tasks=[plain_task(f"t{n}", "m", 4.0, n / 2, **rates) for n in range(tasks)],
    )
    case["tasks"][1]["after"] = after
    draft = greedy_plan(*yard_case(case))
    assert len(draft.places()) == tasks
    assert len(draft.chosen[0]) <= tasks // 2 + 1


@pytest.mark.parametrize("order", [by_urgency, by_stake, by_length])
def test_each_order_of_machines_names_each_once_and_starts_with_limits(order):
    machines = greedy_plan(*yard_case(CASE)).machines
    found = order(machines)
    assert sorted(found) == list(range(len(machines)))
    limited = [not machines[k].may_wait.all() for k in found]
    assert limited == sorted(limited, reverse=True)
    assert any(limited)
