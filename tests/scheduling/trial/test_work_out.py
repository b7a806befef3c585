"""A trial worked out: what a change does to the plan, beside the real one."""

from dataclasses import replace

import pytest

from scheduling.core.planner import RunLimits, Watch, read_problem, solve
from scheduling.models import Plan, PlannedWork
from scheduling.plan.search_stages import Telling
from scheduling.trial import work_out
from scheduling.trial.changes import Away, Booked, DayClosed, PartGone
from scheduling.trial.trial_result import base_of
from scheduling.trial.work_out import Pair, try_out
from tests import consequences
from tests import factories as make
from tests.benchmarks.plan_instances import yard
from tests.scheduling.cases import NOW, TODAY
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db


@pytest.fixture
def tell(shop):
    return Telling(consequences.PlanSearch(shop=shop).pk)


def work_of(machine):
    return PlannedWork.objects.select_related("job__mechanic").get(machine=machine)


def test_a_day_closed_moves_its_work_and_nothing_is_written(planned, shop, tell):
    before = work_of(planned[0])
    worked = try_out(shop, [DayClosed(before.job.day)], NOW, tell)
    (move,) = [m for m in worked.shown["moves"] if m["tag"] == planned[0].tag]
    assert move["before"]["day"] == before.job.day.isoformat()
    assert move["after"]["day"] != move["before"]["day"]
    assert "With the shop closed on" in worked.shown["sentence"]
    assert "more" in worked.shown["sentence"]
    assert worked.shown["total"][1] > worked.shown["total"][0] == Plan.objects.get().total
    assert work_of(planned[0]).job.day == before.job.day
    assert Plan.objects.get().number == worked.base_plan == 1


def test_what_nobody_can_do_is_put_beyond_the_plan(planned, shop, mechanic, bo, tell):
    away = [Away(one.pk, str(one), TODAY, day(30)) for one in (mechanic, bo)]
    shown = try_out(shop, away, NOW, tell).shown
    assert [move["after"] for move in shown["moves"]] == [None] * 3
    assert "3 pieces more are put beyond the plan" in shown["sentence"]
    assert "Nobody works on any open day" in " ".join(shown["missing"])


def test_a_booking_that_bars_its_own_work_says_what_is_lost(planned, shop, tell):
    """Booked from today on, before the oil that falls due meanwhile can be changed."""
    machine = planned[0]
    booked = Booked(machine.pk, machine.tag, day(1), day(9), "Two Pines", 900.0)
    shown = try_out(shop, [booked, DayClosed(TODAY)], NOW, tell).shown
    assert [row["words"] for row in shown["lost"]] == [
        f"{machine.tag}, the booking that is tried, Tue 3 Mar to Wed 11 Mar"
    ]
    assert "1 booking is lost" in shown["sentence"]


def test_a_change_that_does_nothing_says_so(planned, shop, tell):
    shown = try_out(shop, [PartGone(make.Part().pk, "belt", 0.0)], NOW, tell).shown
    assert shown["sentence"] == (
        "With no belt on the shelf, no work moves; the plan costs the same."
    )
    assert (shown["moves"], shown["kept"], shown["anyway"]) == ([], 3, 0)


def test_facts_that_moved_since_the_plan_are_not_taken_for_the_changes_doing(
    planned, shop, mechanic, bo, tell
):
    for one in (mechanic, bo):  # ill since the plan was made: all of the work waits anyway
        one.absences.create(first_day=TODAY, last_day=day(30))
    shown = try_out(shop, [DayClosed(day(2))], NOW, tell).shown
    assert (shown["moves"], shown["anyway"]) == ([], 3)
    assert "no work moves; the plan costs the same" in shown["sentence"]


def test_an_absence_on_a_day_off_is_not_searched_for_and_changes_nothing(
    planned, shop, bo, tell, monkeypatch
):
    def searched(*_, **__):
        raise AssertionError("nothing has changed, so nothing is to be searched for")

    monkeypatch.setattr(work_out, "solve", searched)
    off = next(day(n) for n in range(28) if day(n).weekday() == 6)  # a Sunday: nobody works
    shown = try_out(shop, [Away(bo.pk, str(bo), off, off)], NOW, tell).shown
    assert "no work moves; the plan costs the same." in shown["sentence"]
    assert (shown["moves"], shown["total"][0]) == ([], shown["total"][1])


class Ticking:
    """A clock that goes by its being read: so many readings are so many steps of a search."""

    def __init__(self):
        self.now = 0.0

    def __call__(self):
        self.now += 1.0
        return self.now


def steps(count):
    return RunLimits(float(count), clock=Ticking())


@pytest.fixture(scope="module")
def pair():
    """A yard and the same with a mechanic away for a day; the plan of the first is hastier."""
    case = yard(machines=25, mechanics=2, days=14, seed=4, load=1.0)
    base = read_problem(case)
    case["mechanics"][0]["hours"][10] = 0.0
    away = read_problem(case)
    return Pair(base, away, solve(base, steps(4)), solve(away, steps(60)))


class Silent:
    def stage(self, words):
        self.words = words

    def __call__(self, told):
        """Hear nothing."""


def test_plan_and_copy_start_from_one_another(pair):
    assert pair.before.total > pair.after.total  # by chance alone: who is away does nothing
    on = Pair(pair.base, pair.changed, pair.before, pair.after)
    on.search_on(steps(6), Silent())
    # what can be done with a mechanic away can be done with all of them
    assert on.before.total <= on.after.total <= pair.after.total
    assert on.before.bound >= pair.before.bound
    assert on.after.bound >= pair.after.bound
    assert on.left_open <= pair.left_open


def test_it_is_searched_on_until_the_answer_is_larger_than_the_doubt(pair, monkeypatch):
    asked = []

    def found(problem, limits, tell, start):
        asked.append((limits.seed, limits.seconds))
        return replace(pair.before if problem is pair.base else pair.after, bound=bounds.pop())

    monkeypatch.setattr(work_out, "solve", found)
    bounds = [pair.after.total, pair.before.total, 2.0, 1.0]
    on = Pair(pair.base, pair.changed, pair.before, pair.after)
    tell = Silent()
    work_out._search_until_told(on, stopped(100.0), tell)
    assert on.told
    # each longer than the one before, but no longer than what is left for two
    assert asked == [(1, 20.0), (1, 20.0), (2, 40.0), (2, 40.0)]
    assert tell.words == "cannot tell yet, searching on"


def stopped(seconds):
    """A watch with so many seconds left, whose clock stands still."""
    return Watch.start(lambda: 0.0, seconds)


def test_when_the_minute_is_over_the_doubt_stands(pair):
    on = Pair(pair.base, pair.changed, replace(pair.before, bound=0.0), pair.after)
    work_out._search_until_told(on, stopped(0.0), Silent())
    assert not on.told


def test_the_base_names_the_facts_and_the_plan(planned, shop):
    base = base_of(shop, NOW)
    assert (base.marks, base.number) == (Plan.objects.get().facts, 1)
