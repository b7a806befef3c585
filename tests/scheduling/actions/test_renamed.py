"""A machine gets another tag and a service another code: all that was said of the work stays."""

from datetime import timedelta

import pytest

from fleet.actions.decide_work import estimate, lift_served, put_off
from fleet.actions.lay_down_work import LaidDown, lay_down
from fleet.models import Machine, Pin, WorkEstimate
from fleet.refusal import Refusal
from scheduling.actions.replan import PinRequest, free_work, move_work, publish_days
from scheduling.actions.republish import tell_released
from scheduling.actions.try_changes import ask_trial, publish_trial
from scheduling.hindsight.list_entries import ListOutcome
from scheduling.hindsight.list_keeping import keep_list
from scheduling.hindsight.schedule_months import schedule_compliance
from scheduling.models import Notice, OutboxEntry, PlannedWork, Trial
from scheduling.plan import plan_shop
from scheduling.queries.job_sheet import job_sheet
from scheduling.queries.shop_days import shop_days
from scheduling.trial.changes import Moved, TakesLonger
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(shop):
    return make.Person(shop=shop, first_name="Odile")


@pytest.fixture
def machine(planned):
    """The first machine whose oil is planned."""
    return planned[0]


@pytest.fixture
def key(machine):
    return key_of(machine, "oil")


@pytest.fixture
def renamed(machine, oil):
    """Give the machine another tag, and its service another code."""

    def build():
        machine.tag, oil.code = "NEW-1", "engine-oil"
        machine.save()
        oil.save()

    return build


def work_of(machine):
    return PlannedWork.objects.select_related("job").get(machine=machine)


def worked(trial):
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL, done_at=None):
        assert perform_entry(entry.pk, NOW)
    trial.refresh_from_db()
    return trial


def test_a_pin_holds_is_shown_and_can_be_lifted(shop, machine, key, manager, renamed):
    move_work(shop, PinRequest(machine, (key,), day(7)), by=manager, now=NOW)
    renamed()
    plan_shop(shop, NOW, seconds=2)
    work = work_of(machine)
    assert (work.job.day, work.pinned) == (day(7), True)
    shown = [
        each
        for row in shop_days(shop, TODAY, 14).days
        for mechanic in row.mechanics
        for job in mechanic.jobs
        for each in job.work
        if each.pin
    ]
    assert [each.work.machine.tag for each in shown] == ["NEW-1"]
    free_work(shop, shown[0].work.work_key, by=manager, now=NOW)
    assert Pin.objects.get().lifted_by == manager


def test_a_service_done_lifts_the_pin_and_the_estimate_of_before(
    shop, machine, key, oil, manager, renamed
):
    move_work(shop, PinRequest(machine, (key,), day(7)), by=manager, now=NOW)
    estimate(machine, key, 150, reason="rusted in", by=manager, now=NOW)
    renamed()
    record = make.ServiceRecord(machine=machine, service=oil, done_at=NOW + timedelta(hours=1))
    lift_served([record], by=manager, now=NOW + timedelta(hours=1))
    assert not Pin.objects.filter(lifted_at=None).exists()
    assert not WorkEstimate.objects.filter(lifted_at=None).exists()


def test_work_put_off_keeps_off_its_day_and_says_why(shop, machine, key, manager, renamed):
    first = work_of(machine).job.day
    that_day = NOW + (first - TODAY)
    put_off(machine, key, first, reason="filter missing", by=manager, now=that_day)
    renamed()
    plan_shop(shop, that_day, seconds=2)
    work = work_of(machine)
    assert work.job.day > first
    assert "filter missing" in work.why


def test_work_under_way_goes_on_with_what_is_left(shop, machine, key, mechanic, renamed):
    lay_down(LaidDown(machine, key, mechanic, 20, 35), by=mechanic, now=NOW)
    renamed()
    plan_shop(shop, NOW, seconds=2)
    work = work_of(machine)
    assert (work.begun, work.minutes, work.job.mechanic) == (True, 35, mechanic)
    (sheet,) = job_sheet(Machine.objects.all(), "NEW-1", work.job.day).planned
    assert (sheet.laid_down.minutes_left, sheet.minutes_before) == (35, 20)


def test_an_estimate_holds(shop, machine, key, manager, renamed):
    estimate(machine, key, 150, reason="rusted in", by=manager, now=NOW)
    renamed()
    plan_shop(shop, NOW, seconds=2)
    assert work_of(machine).minutes == 150


def test_what_is_published_stays_and_nobody_is_told_of_a_change(shop, machine, manager, renamed):
    release = publish_days(shop, TODAY, 14, by=manager, now=NOW)
    places = set(PlannedWork.objects.values_list("pk", "job__day", "job__mechanic"))
    renamed()
    plan_shop(shop, NOW, seconds=2)
    assert set(PlannedWork.objects.values_list("pk", "job__day", "job__mechanic")) == places
    assert tell_released(shop, release, by=manager, now=NOW) is None
    assert publish_days(shop, TODAY, 14, by=manager, now=NOW) == release
    assert not Notice.objects.exists()


def test_the_published_past_is_found_under_its_new_name(shop, machine, oil, manager, renamed):
    planned = work_of(machine).job.day
    publish_days(shop, TODAY, 14, by=manager, now=NOW - timedelta(days=1))
    renamed()
    make.ServiceRecord(machine=machine, service=oil, done_at=NOW + (planned - TODAY))
    found = schedule_compliance(shop, planned, planned)
    (judged,) = [each for each in found.judged if each.entry.machine == machine.pk]
    assert (judged.entry.tag, judged.outcome) == ("NEW-1", ListOutcome.ON_DAY)


def test_a_kept_list_is_judged_by_what_was_put_off_since(shop, machine, manager, renamed):
    planned = work_of(machine).job.day
    keep_list(shop, planned, NOW + (planned - TODAY))
    renamed()
    plan_shop(shop, NOW, seconds=2)
    (sheet,) = job_sheet(Machine.objects.all(), "NEW-1", planned).planned
    put_off(machine, sheet.work_key, planned, reason="no filter", by=manager, now=NOW)
    found = schedule_compliance(shop, planned, planned)
    (judged,) = [each for each in found.judged if each.entry.machine == machine.pk]
    assert (judged.entry.tag, judged.why) == ("NEW-1", "no filter")


def test_a_trial_is_published_on_the_work_that_it_meant(
    shop, machine, key, mechanic, manager, renamed
):
    where = (machine.pk, machine.tag, key, "Oil change")
    changes = [Moved(*where, day(7), mechanic.username), TakesLonger(*where, 150)]
    trial = worked(ask_trial(shop, changes, by=manager, now=NOW))
    renamed()
    with pytest.raises(Refusal, match="nothing was published"):
        publish_trial(trial, by=manager, now=NOW)  # names are shown that are names no more
    assert worked(trial).state == Trial.State.READY
    publish_trial(trial, by=manager, now=NOW)
    work = work_of(machine)
    assert (work.job.day, work.minutes, work.pinned) == (day(7), 150, True)
