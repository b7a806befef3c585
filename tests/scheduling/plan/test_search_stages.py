"""Progress of a search is written now and then, and never gets in the search's way."""

from threading import Thread

import pytest
from django.db import DatabaseError

from scheduling.core.planner import RunProgress, Stage
from scheduling.models import PlanSearch
from scheduling.plan.search_stages import Telling
from tests import consequences

pytestmark = pytest.mark.django_db


class Clock:
    seconds = 0.0

    def __call__(self):
        return self.seconds


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def telling(clock):
    return Telling(consequences.PlanSearch().pk, clock)


def test_what_the_planner_says_is_written(telling):
    telling(RunProgress(Stage.IMPROVING, 0.25, 210.0, 200.0))
    search = PlanSearch.objects.get()
    assert search.stage == "improving a few machines at a time"
    assert (search.share, search.cost, search.bound) == (0.25, 210, 200)


def test_twice_a_second_is_enough(telling, clock, django_assert_num_queries):
    with django_assert_num_queries(3):
        for step in range(11):  # one second, a word every tenth
            clock.seconds = step / 10
            telling(RunProgress(Stage.IMPROVING, 0.0, 210.0 - step, 200.0))


def test_no_plan_yet_is_no_cost(telling):
    telling(RunProgress(Stage.STARTING, 0.0, float("inf"), float("-inf")))
    search = PlanSearch.objects.get()
    assert (search.cost, search.bound, search.gap) == (None, 0, None)


def test_a_stage_of_ours_stands_before_the_planners(telling, clock):
    telling.stage("with the change")
    clock.seconds = 1
    telling(RunProgress(Stage.IMPROVING, 0.0, 1.0, 1.0))
    assert PlanSearch.objects.get().stage == "with the change: improving a few machines at a time"


def test_another_thread_is_passed_over(telling):
    thread = Thread(target=telling, args=(RunProgress(Stage.IMPROVING, 0.0, 1.0, 1.0),))
    thread.start()
    thread.join()
    assert PlanSearch.objects.get().cost is None


def test_a_busy_database_does_not_end_the_search(telling, monkeypatch):
    def busy(**_):
        raise DatabaseError("database is locked")

    monkeypatch.setattr(PlanSearch.objects, "filter", busy)
    telling(RunProgress(Stage.IMPROVING, 0.0, 1.0, 1.0))
