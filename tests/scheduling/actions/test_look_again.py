"""The plan follows the facts: looked at again, made anew or mended beside.  2 March 2026."""

from datetime import timedelta

import pytest
from django.db import transaction

from fleet.actions.change_shop_days import SaidBy, close_day, note_absence
from fleet.actions.delay_deliveries import delay_delivery
from fleet.actions.hold_machines import NewHold, place_hold, release_hold
from fleet.actions.move_machines import move_machine
from fleet.actions.retire_machines import retire_machine
from fleet.models import Absence, Delivery, HandOver, StockMovement, WorkingHours
from fleet.work_keys import repair_key
from scheduling.actions.look_again import look_again
from scheduling.actions.replan import publish_days
from scheduling.actions.try_changes import drop_trial, publish_trial
from scheduling.models import OutboxEntry, Plan, PlannedWork, PlanSearch, Trial
from scheduling.outbox.looks import SETTLING
from scheduling.plan import plan_shop
from scheduling.plan.broken_work import broken_work, load_placed
from scheduling.plan.shop_problem import load_shop
from scheduling.worker.follow_facts import follow_facts
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.pages import at_noon  # noqa: F401  a fixture
from tests.scheduling.cases import NOW, TODAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

LATER = NOW + SETTLING + timedelta(seconds=5)
A_MONTH = timedelta(days=30)


@pytest.fixture
def manager(shop):
    return make.Person(shop=shop)


@pytest.fixture
def published(shop, planned, manager):
    publish_days(shop, TODAY, 28, by=manager, now=NOW)
    OutboxEntry.objects.all().delete()
    return planned


@pytest.fixture
def unpublished(shop, planned):
    OutboxEntry.objects.all().delete()
    return planned


def perform(*kinds):
    """Do what is owed, refreshes first."""
    for kind in kinds:
        for entry in OutboxEntry.objects.filter(kind=kind, done_at=None).order_by("pk"):
            refreshing = kind == OutboxEntry.Kind.REFRESH
            at = NOW + timedelta(seconds=1) if refreshing else LATER
            assert perform_entry(entry.pk, at)
        if kind == OutboxEntry.Kind.REFRESH:
            follow_facts(NOW + timedelta(seconds=1))


def follow():
    perform(OutboxEntry.Kind.REFRESH, OutboxEntry.Kind.LOOK, OutboxEntry.Kind.TRIAL)


def job_of(machine):
    return PlannedWork.objects.select_related("job__mechanic").get(machine=machine).job


def unkeepable(shop):
    """What the plan has and cannot be done there, by the facts as they are."""
    facts = load_shop(shop, LATER)
    return broken_work(facts, load_placed(Plan.objects.get(shop=shop), facts))


def go_away(planned, manager):
    person = job_of(planned[0]).mechanic
    note_absence(person, TODAY, TODAY + A_MONTH, SaidBy(manager, NOW, "ill"))
    return "away"


def work_no_more(planned, manager):
    WorkingHours.objects.filter(person=job_of(planned[0]).mechanic).first().delete()
    for row in WorkingHours.objects.filter(person=job_of(planned[0]).mechanic):
        row.hours = 0
        row.save()
    return "not enough hours"


def shut_its_day(planned, manager):
    job = job_of(planned[0])
    close_day(job.plan.shop, job.day, SaidBy(manager, NOW, "fair"))
    return "the shop closed"


def part_late(planned, manager):
    StockMovement.objects.all().delete()
    delay_delivery(
        Delivery.objects.get(), expected_on=TODAY + A_MONTH, by=manager, at=NOW, note="carrier"
    )
    return "oil filter not there in time"


def booked_out(planned, manager):
    job = job_of(planned[0])
    booking = make.Booking(machine=planned[0], first_day=TODAY, last_day=job.day, made_at=NOW)
    HandOver.objects.create(booking=booking, direction="out", at=NOW)
    retold(planned[0])
    return "out"


def retold(machine):
    from fleet.changed_facts import tell  # noqa: PLC0415  as an action would

    tell({machine.pk})


FACTS = [go_away, work_no_more, shut_its_day, part_late, booked_out]


@pytest.mark.parametrize("happens", FACTS)
def test_where_nothing_is_published_the_plan_is_made_anew(shop, unpublished, manager, happens):
    happens(unpublished, manager)
    assert unkeepable(shop)
    follow()
    assert unkeepable(shop) == []
    search = PlanSearch.objects.get(cause=PlanSearch.Cause.FACTS)
    assert "to place again." in search.said
    assert not Trial.objects.exists()


@pytest.mark.parametrize("happens", FACTS)
def test_published_work_is_mended_beside_and_said_in_one_line(shop, published, manager, happens):
    wanted = happens(published, manager)
    before = Plan.objects.get(shop=shop).number
    follow()
    trial = Trial.objects.get()
    assert wanted in trial.cause.replace("Not", "not").replace("The", "the")
    assert trial.cause.endswith("to place again.")
    assert trial.state == Trial.State.READY
    assert Plan.objects.get(shop=shop).number == before  # nobody's list has changed
    publish_trial(trial, by=manager, now=LATER)
    assert unkeepable(shop) == []
    follow()
    assert Trial.objects.count() == 1


def test_the_line_names_who_which_days_and_how_much(shop, published, manager):
    person = job_of(published[0]).mechanic
    theirs = [job_of(m) for m in published if job_of(m).mechanic == person]
    go_away(published, manager)
    look_again(shop, LATER)
    cause = Trial.objects.get().cause
    assert cause.startswith(f"{person} away ")
    assert f": {len(theirs)} h to place again." in cause


def test_nothing_to_do_does_nothing(shop, published, manager):
    assert look_again(shop, LATER).line == ""
    absent = make.Mechanic(shop=shop)  # nobody's work
    note_absence(absent, TODAY, TODAY + A_MONTH, SaidBy(manager, NOW))
    follow()
    assert not Trial.objects.exists()


def test_an_absence_on_days_off_changes_nothing(shop, published, manager):
    person, sunday = job_of(published[0]).mechanic, TODAY + timedelta(days=6)
    note_absence(person, sunday, sunday, SaidBy(manager, NOW))
    follow()
    assert not Trial.objects.exists()


def test_many_changes_in_a_row_owe_one_look(shop, published, manager):
    for _ in range(3):
        go_away(published, manager)
        Absence.objects.all().delete()
    go_away(published, manager)
    retold(published[1])
    perform(OutboxEntry.Kind.REFRESH)
    assert OutboxEntry.objects.filter(kind=OutboxEntry.Kind.LOOK).count() == 1


def test_a_look_that_is_being_done_is_followed_by_another(shop, published, manager):
    go_away(published, manager)
    OutboxEntry.objects.update(leased_until=LATER + A_MONTH)
    shut_its_day(published, manager)
    assert OutboxEntry.objects.filter(kind=OutboxEntry.Kind.LOOK).count() == 2


def test_what_is_rolled_back_owes_nothing(shop, published, manager):
    with transaction.atomic():
        go_away(published, manager)
        transaction.set_rollback(True)
    assert not OutboxEntry.objects.exists()


def test_looked_at_twice_it_is_mended_once(shop, published, manager):
    go_away(published, manager)
    follow()
    round_before = Trial.objects.get().round
    look_again(shop, LATER)
    look_again(shop, LATER)
    assert Trial.objects.get().round == round_before


def test_a_mend_that_nothing_asks_for_any_more_is_withdrawn(shop, published, manager):
    go_away(published, manager)
    follow()
    Absence.objects.get().delete()
    perform(OutboxEntry.Kind.LOOK)
    trial = Trial.objects.get()
    assert (trial.state, trial.settled_by) == (Trial.State.DROPPED, None)


def test_what_a_person_left_as_it_is_is_not_asked_again(shop, published, manager):
    go_away(published, manager)
    follow()
    drop_trial(Trial.objects.get(), by=manager, now=LATER)
    look_again(shop, LATER)
    assert Trial.objects.get().state == Trial.State.DROPPED


@pytest.mark.parametrize("way", ["retired", "moved"])
def test_work_of_a_machine_that_is_gone_leaves_the_plan(shop, published, manager, way):
    machine = published[0]
    if way == "retired":
        retire_machine(machine, TODAY, reason="sold", by=manager, now=NOW)
    else:
        move_machine(machine, make.Yard(), reason="sold", by=manager, now=NOW)
    follow()
    assert not PlannedWork.objects.filter(plan__shop=shop, machine=machine).exists()


def test_a_machine_that_comes_is_planned(shop, unpublished, manager, due_in):
    other = make.Yard()
    machine = due_in(1)
    machine.yard = other
    machine.save()
    plan_shop(other.shop, NOW, seconds=1)
    move_machine(machine, unpublished[0].yard, reason="needed", by=manager, now=NOW)
    follow()
    assert PlannedWork.objects.filter(plan__shop=shop, machine=machine, job__isnull=False).exists()


def test_a_finding_on_published_days_is_placed_beside(shop, published, manager):
    make.Finding(machine=published[0], minutes=90)
    retold(published[0])
    follow()
    assert Trial.objects.get().cause == "1 piece of new work: 1 h 30 min to place in the plan."


def test_a_shop_without_a_plan_is_not_looked_at(shop, manager):
    note_absence(manager, TODAY, TODAY, SaidBy(manager, NOW))
    assert not OutboxEntry.objects.filter(kind=OutboxEntry.Kind.LOOK).exists()
    assert look_again(shop, NOW).line == ""


def test_signing_in_owes_nothing(client, shop, published, manager):
    client.force_login(manager)
    assert not OutboxEntry.objects.exists()


def test_a_held_machine_that_the_shop_is_to_look_at_is_planned(shop, published, manager):
    """Within a minute the mended plan stands ready, with the look in it; released, it is gone."""
    machine = published[0]
    hold = place_hold(NewHold(machine, "rattles", look=True), by=manager, now=NOW)
    follow()
    trial = Trial.objects.get(shop=shop, by=None)
    assert trial.state == Trial.State.READY
    assert repair_key(hold.finding_id) in str(trial.solution)
    release_hold(hold, note="a loose bolt", by=manager, now=NOW)
    OutboxEntry.objects.filter(kind=OutboxEntry.Kind.LOOK).delete()
    look_again(shop, LATER)
    trial.refresh_from_db()
    assert trial.state == Trial.State.DROPPED


def test_a_bare_hold_that_asks_for_no_look_leaves_the_plan_alone(shop, published, manager):
    place_hold(NewHold(published[0], "kept for the county fair"), by=manager, now=NOW)
    follow()
    assert not Trial.objects.exists()
