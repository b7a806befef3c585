"""A trial from question to fact: worked out by the worker, published once or thrown away."""

from datetime import timedelta

import pytest

from fleet.models import Absence, Booking, ClosedDay, LentHand, Person, Pin
from fleet.refusal import Refusal
from scheduling.actions import try_changes
from scheduling.actions.replan import publish_days
from scheduling.actions.try_changes import (
    ask_trial,
    change_trial,
    do_trial,
    drop_trial,
    publish_trial,
    try_again,
)
from scheduling.models import OutboxEntry, Plan, PlannedWork, PlanSearch, Trial
from scheduling.plan import plan_shop
from scheduling.plan.shop_problem import digest, instance, load_shop
from scheduling.trial.changes import Away, Booked, DayClosed, HandLent, Moved, PartGone
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(shop):
    return make.Person(shop=shop, first_name="Odile")


def worked(trial):
    """Let the worker do all that is owed for trials."""
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL, done_at=None):
        assert perform_entry(entry.pk, NOW)
    trial.refresh_from_db()
    return trial


@pytest.fixture
def tried(planned, shop, manager):
    """Try changes on the planned shop, and have them worked out."""

    def build(*changes):
        return worked(ask_trial(shop, changes, by=manager, now=NOW))

    return build


def day_of(machine):
    return PlannedWork.objects.get(machine=machine).job.day


def test_a_trial_is_worked_out_by_the_worker_and_changes_nothing_yet(tried, planned, manager):
    trial = tried(DayClosed(day_of(planned[0])))
    assert (trial.state, trial.by, trial.round) == (Trial.State.READY, manager, 1)
    assert trial.base == Plan.objects.get().facts
    assert "the shop closed on" in PlanSearch.objects.get(cause="trial").said
    assert not ClosedDay.objects.exists()
    assert Plan.objects.get().number == 1


def test_publishing_makes_facts_and_plan_at_once(tried, planned, shop, manager):
    shut = day_of(planned[0])
    trial = publish_trial(tried(DayClosed(shut, "fair")), by=manager, now=NOW)
    row = ClosedDay.objects.get()
    assert (row.day, row.reason, row.by, row.at) == (shut, "fair", manager, NOW)
    (move,) = [m for m in trial.shown["moves"] if m["tag"] == planned[0].tag]
    assert day_of(planned[0]).isoformat() == move["after"]["day"]
    assert (trial.state, trial.settled_by, trial.settled_at) == ("published", manager, NOW)
    facts, plan = load_shop(shop, NOW), Plan.objects.get()
    assert plan.facts == digest(instance(facts), facts)
    assert plan.total == trial.shown["total"][1]
    assert plan_shop(shop, NOW, seconds=2).kept  # the night finds the plan as it should be


def test_publishing_twice_is_once(tried, planned, manager):
    trial = tried(Booked(planned[2].pk, planned[2].tag, day(2), day(3), "Two Pines"))
    for _ in range(2):
        publish_trial(trial, by=manager, now=NOW)
    assert Booking.objects.count() == 1
    assert Plan.objects.get().number == 2


def test_a_hand_lent_gets_the_work_that_the_trial_gave_them(tried, planned, mechanic, bo, manager):
    away = [Away(one.pk, str(one), TODAY, day(20)) for one in (mechanic, bo)]
    trial = tried(*away, HandLent("Sam", 8.0, ("general",), day(1), day(9)))
    publish_trial(trial, by=manager, now=NOW)
    sam = LentHand.objects.get().person
    assert (sam.first_name, sam.from_outside) == ("Sam", True)
    assert {row.job.mechanic for row in PlannedWork.objects.exclude(job=None)} == {sam}
    assert not PlannedWork.objects.filter(why__contains="somebody who has left").exists()
    assert Absence.objects.filter(by=manager, at=NOW).count() == 2


def test_work_moved_is_a_pin(tried, planned, mechanic, manager):
    key = key_of(planned[0], "oil")
    move = Moved(planned[0].pk, planned[0].tag, key, "Oil change", day(7), mechanic.username)
    publish_trial(tried(move), by=manager, now=NOW)
    pin = Pin.objects.get()
    assert (pin.work_key, pin.day, pin.mechanic, pin.by) == (key, day(7), mechanic, manager)
    assert PlannedWork.objects.get(work_key=key).pinned


def facts_moved(planned, shop, mechanic):
    Absence.objects.create(person=mechanic, first_day=day(1), last_day=day(1))


def plan_moved(planned, shop, mechanic):
    Plan.objects.update(number=9)


@pytest.mark.parametrize("move", [facts_moved, plan_moved])
def test_a_trial_whose_base_has_moved_is_worked_out_again(
    tried, planned, shop, mechanic, manager, move
):
    trial = tried(DayClosed(day(2)))
    move(planned, shop, mechanic)
    with pytest.raises(Refusal, match="nothing was published"):
        publish_trial(trial, by=manager, now=NOW)
    assert not ClosedDay.objects.exists()
    trial.refresh_from_db()
    assert (trial.state, trial.round) == (Trial.State.ASKED, 2)
    assert worked(trial).state == Trial.State.READY
    publish_trial(trial, by=manager, now=NOW)
    assert ClosedDay.objects.get().day == day(2)


def test_the_next_day_a_trial_stands_on_other_facts(tried, manager):
    trial = tried(DayClosed(day(2)))
    with pytest.raises(Refusal, match="worked out again"):
        publish_trial(trial, by=manager, now=NOW + timedelta(days=1))


def test_what_cannot_be_a_fact_publishes_nothing(tried, planned, manager):
    machine = planned[2]
    trial = tried(DayClosed(day(9)), Booked(machine.pk, machine.tag, day(2), day(3), "Two Pines"))
    machine.retired_on = day(1)
    type(machine).objects.filter(pk=machine.pk).update(retired_on=day(3))
    with pytest.raises(Refusal):
        publish_trial(trial, by=manager, now=NOW)
    assert not ClosedDay.objects.exists()
    assert not Booking.objects.exists()
    assert Plan.objects.get().number == 1


def test_thrown_away_it_is_kept_and_done_with(tried, planned, manager):
    trial = tried(DayClosed(day(2)))
    for _ in range(2):
        assert drop_trial(trial, by=manager, now=NOW).state == Trial.State.DROPPED
    with pytest.raises(Refusal, match="has thrown this away"):
        publish_trial(trial, by=manager, now=NOW)
    with pytest.raises(Refusal, match="start a new one"):
        try_again(trial, by=manager, now=NOW)
    assert not ClosedDay.objects.exists()


def test_what_is_published_is_not_thrown_away(tried, manager):
    trial = tried(DayClosed(day(9)))
    publish_trial(trial, by=manager, now=NOW)
    with pytest.raises(Refusal, match="Odile has published"):
        drop_trial(trial, by=manager, now=NOW)
    with pytest.raises(Refusal, match="start a new one"):
        try_again(trial, by=manager, now=NOW)


def test_while_it_is_worked_out_it_cannot_be_published(planned, shop, manager):
    trial = ask_trial(shop, [DayClosed(day(2))], by=manager, now=NOW)
    with pytest.raises(Refusal, match="still being worked out"):
        publish_trial(trial, by=manager, now=NOW)
    assert try_again(trial, by=manager, now=NOW).round == 1


def test_other_changes_are_worked_out_anew_and_the_same_are_not(tried, manager):
    trial = tried(DayClosed(day(2)))
    assert change_trial(trial, [DayClosed(day(2))], by=manager, now=NOW).round == 1
    changed = change_trial(trial, [DayClosed(day(2)), DayClosed(day(3))], by=manager, now=NOW)
    assert (changed.round, changed.state) == (2, Trial.State.ASKED)
    with pytest.raises(Refusal, match="its only change"):
        change_trial(trial, [], by=manager, now=NOW)


def test_a_search_of_an_earlier_round_writes_nothing(planned, shop, manager, monkeypatch):
    trial = ask_trial(shop, [DayClosed(day(2))], by=manager, now=NOW)
    first = PlanSearch.objects.get(cause="trial")
    work_out = try_changes.work_out

    def asked_anew_meanwhile(*given):
        change_trial(trial, [DayClosed(day(3))], by=manager, now=NOW)
        return work_out(*given)

    monkeypatch.setattr(try_changes, "work_out", asked_anew_meanwhile)
    do_trial(first, NOW)
    trial.refresh_from_db()
    assert (trial.state, trial.shown, trial.round) == (Trial.State.ASKED, {}, 2)
    monkeypatch.undo()
    assert "Thu 5 Mar" in worked(trial).shown["sentence"]


def test_a_crash_in_the_middle_is_made_good_by_the_next_try(planned, shop, manager, monkeypatch):
    trial = ask_trial(shop, [DayClosed(day(2))], by=manager, now=NOW)
    entry = OutboxEntry.objects.get(kind=OutboxEntry.Kind.TRIAL)

    def crash(*_):
        raise MemoryError

    monkeypatch.setattr(try_changes, "work_out", crash)
    assert not perform_entry(entry.pk, NOW)
    monkeypatch.undo()
    later = NOW + timedelta(minutes=1)
    assert perform_entry(entry.pk, later)
    assert not perform_entry(entry.pk, later)
    trial.refresh_from_db()
    assert trial.state == Trial.State.READY


def test_one_form_sent_twice_is_one_trial(planned, shop, manager):
    made = {
        ask_trial(shop, [DayClosed(day(2))], by=manager, now=NOW, form_key="k").pk for _ in range(2)
    }
    assert len(made) == PlanSearch.objects.filter(cause="trial").count() == 1


def test_a_trial_that_an_older_version_kept_is_worked_out_again(tried, planned, manager):
    """It held its reasons as sentences, with ids in them."""
    trial = tried(DayClosed(day(2)))
    for placed in trial.solution["assignments"]:
        placed["reason"] = {"fixed": "it is pinned here", "barred_by": "yard shop is closed"}
    trial.save()
    with pytest.raises(Refusal, match="worked out again"):
        publish_trial(trial, by=manager, now=NOW)
    trial.refresh_from_db()
    assert trial.state == Trial.State.ASKED
    assert not ClosedDay.objects.exists()


@pytest.mark.parametrize(("number", "sentence"), [(0, "First say"), (13, "at most 12")])
def test_too_few_and_too_many_changes_are_refused(planned, shop, manager, number, sentence):
    with pytest.raises(Refusal, match=sentence):
        ask_trial(shop, [DayClosed(day(n)) for n in range(number)], by=manager, now=NOW)


def test_a_change_that_cannot_be_planned_says_so_and_is_not_published(tried, planned, manager):
    """A part of which there is less than nothing is no shelf that the planner takes."""
    part = planned[0].makeup.fitting_parts.get().part
    trial = tried(PartGone(part.pk, part.name, -1.0))
    assert "cannot be planned: the changes do not fit" in trial.shown["fault"]
    assert "on_hand" not in trial.shown["fault"]  # a field of the planner's
    with pytest.raises(Refusal, match="cannot be planned"):
        publish_trial(trial, by=manager, now=NOW)


def test_published_days_that_change_are_published_again_and_their_mechanics_told(
    tried, planned, shop, manager, mechanic
):
    job = PlannedWork.objects.get(machine=planned[0]).job
    first = publish_days(shop, TODAY, 14, by=manager, now=NOW - timedelta(hours=1))
    publish_trial(tried(DayClosed(job.day)), by=manager, now=NOW)
    release = shop.releases.first()
    assert release != first
    moved = {row["work_key"]: row["day"] for row in release.jobs}
    assert moved[key_of(planned[0], "oil")] == day_of(planned[0]).isoformat()
    told = Person.objects.filter(notices__kind="changed").distinct()
    assert job.mechanic in told
    assert manager not in told


def test_a_hand_lent_to_help_is_the_second_person_of_the_work(
    shop, mechanic, due_in, oil, refreshed, manager
):
    oil.second_minutes, oil.second_skill = 30, make.Skill(name="rigging")
    oil.save()
    machine = due_in(3)
    refreshed()
    shop.refresh_from_db()
    plan_shop(shop, NOW, seconds=2)
    assert PlannedWork.objects.get(machine=machine).job is None  # nobody else can hold it up
    lent = HandLent("Sam", 8.0, ("rigging",), day(1), day(9))
    trial = worked(ask_trial(shop, [lent], by=manager, now=NOW))
    publish_trial(trial, by=manager, now=NOW)
    job = PlannedWork.objects.get(machine=machine).job
    assert job.second == LentHand.objects.get().person
