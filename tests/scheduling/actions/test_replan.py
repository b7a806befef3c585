"""Moving and freeing work, and planning again: asked for at once, planned by the worker."""

from datetime import timedelta

import pytest

from fleet.models import Pin
from fleet.refusal import Refusal
from scheduling.actions import replan
from scheduling.actions.replan import PinRequest, do_replan, free_work, move_work, said_of
from scheduling.models import OutboxEntry, PlanSearch
from scheduling.plan import PlanReport
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return bench_case()


@pytest.fixture
def planned(monkeypatch):
    """Counts the shops planned, in place of planning them."""
    made = []

    def plan(shop, now, seconds, tell, *, go_on):
        made.append(shop)
        return PlanReport(cannot_keep=["Q-1: the pin cannot be kept."])

    monkeypatch.setattr(replan, "plan_shop", plan)
    return made


def moved(case, day=TODAY, **more):
    move = PinRequest(case.machine, (key_of("Q-1", "oil"),), day, **more)
    return move_work(case.mechanic.shop, move, by=case.manager, now=NOON)


def test_a_move_is_a_pin_and_a_search_for_the_worker(case, planned):
    search = moved(case)
    assert Pin.objects.get().day == TODAY
    assert planned == []
    assert perform_entry(OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN).pk, NOON)
    search.refresh_from_db()
    assert search.said == "Planned again. Q-1: the pin cannot be kept."
    assert planned == [case.mechanic.shop]


def test_of_much_that_cannot_be_kept_two_things_are_told():
    lost = [f"Q-{n}: the pin cannot be kept." for n in range(5)]
    said = said_of(PlanReport(cannot_keep=lost))
    assert said.endswith("Q-1: the pin cannot be kept. And 3 more things cannot be kept.")


def test_a_search_done_is_not_done_again(case, planned):
    search = moved(case)
    for _ in range(2):
        do_replan(PlanSearch.objects.get(pk=search.pk), NOON)
    assert planned == [case.mechanic.shop]


def test_a_search_that_was_dropped_is_no_longer_owed(case, planned):
    moved(case).delete()
    assert perform_entry(OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN).pk, NOON)
    assert planned == []


@pytest.mark.parametrize(
    ("day", "elsewhere", "sentence"),
    [(TODAY - timedelta(days=1), False, "gone by"), (TODAY, True, "does not work in")],
)
def test_a_move_that_cannot_be_changes_nothing(case, day, elsewhere, sentence):
    more = {"mechanic": factories.Mechanic()} if elsewhere else {}
    with pytest.raises(Refusal, match=sentence):
        moved(case, day, **more)
    assert not Pin.objects.exists()
    assert not PlanSearch.objects.exists()


def test_freeing_lifts_the_pin_and_asks_too(case):
    moved(case)
    free_work(case.mechanic.shop, key_of("Q-1", "oil"), by=case.manager, now=NOON)
    assert not Pin.objects.filter(lifted_at=None).exists()
    assert PlanSearch.objects.count() == 2


def test_several_pieces_of_a_machine_move_together_with_one_search(case):
    move = PinRequest(case.machine, (key_of("Q-1", "oil"), "f:2"), TODAY)
    move_work(case.mechanic.shop, move, by=case.manager, now=NOON)
    assert set(Pin.objects.values_list("work_key", flat=True)) == set(move.work_keys)
    free_work(case.mechanic.shop, *move.work_keys, by=case.manager, now=NOON)
    assert not Pin.objects.filter(lifted_at=None).exists()
    assert PlanSearch.objects.count() == 2


def test_pins_of_another_shop_are_not_lifted(case):
    moved(case)
    free_work(factories.Shop(), key_of("Q-1", "oil"), by=case.manager, now=NOON)
    assert Pin.objects.filter(lifted_at=None).exists()


def test_a_plan_that_stands_says_so():
    assert "stands as it was" in said_of(PlanReport(kept=True))
