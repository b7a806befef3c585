"""A planned and published shop whose keys are migrated: nobody's list moves, nobody is told."""

from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection

from fleet.models import Release
from fleet.refusal import Refusal
from scheduling.actions.replan import PinRequest, move_work, publish_days
from scheduling.actions.republish import tell_released
from scheduling.actions.try_changes import ask_trial, publish_trial
from scheduling.calendar.revisions import revise
from scheduling.due.refresh import refresh
from scheduling.models import Notice, OutboxEntry, Plan, PlannedWork, Trial
from scheduling.plan import plan_shop
from scheduling.trial.changes import DayClosed
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY, serviced
from tests.scheduling.trial.conftest import (  # noqa: F401  fixtures
    bo,
    due_in,
    filter_part,
    mechanic,
    oil,
    planned,
    refreshed,
    shop,
    yard,
)
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db
STEPS = {
    "fleet": import_module("fleet.migrations.0003_name_work_by_rows"),
    "scheduling": import_module("scheduling.migrations.0010_name_planned_work_by_rows"),
}


@pytest.fixture
def manager(shop):  # noqa: F811
    return make.Person(shop=shop)


@pytest.fixture
def published(shop, planned, manager):  # noqa: F811
    """A shop with a pin, and with two services in one visit that code and row put differently."""
    tyres = make.Service(code="air", name="Tyre pressure", minutes=60)
    make.Interval(service=tyres, makeup=planned[2].makeup, meter_kind="", every=None, every_days=48)
    serviced(planned[2], tyres, 40)
    move_work(
        shop, PinRequest(planned[0], (key_of(planned[0], "oil"),), day(6)), by=manager, now=NOW
    )
    refresh(None, NOW, shop=shop)
    plan_shop(shop, NOW, seconds=2)
    publish_days(shop, TODAY, 14, by=manager, now=NOW)
    return shop


@pytest.fixture
def upgraded(published):
    """Take the database back to the keys of before, and upgrade it; digests are of before."""
    back(STEPS["scheduling"])
    back(STEPS["fleet"])
    assert PlannedWork.objects.filter(work_key__startswith="s:").count() == 4
    Plan.objects.update(facts="of the release before")
    Trial.objects.update(base="of the release before")
    for step in STEPS.values():
        step.name_by_rows(apps, connection.schema_editor())
    return published


def back(step):
    step.name_by_tags(apps, connection.schema_editor())


def places():
    fields = ("work_key", "job__day", "job__mechanic", "job__position", "position", "pinned")
    return set(PlannedWork.objects.values_list(*fields))


def test_work_of_one_visit_stands_in_the_order_of_codes(published, planned):  # noqa: F811
    rows = PlannedWork.objects.filter(machine=planned[2]).order_by("position")
    assert [row.service.code for row in rows] == ["air", "oil"]
    assert len({row.job_id for row in rows}) == 1


def test_the_night_after_moves_nothing(upgraded):
    before = places()
    report = plan_shop(upgraded, NOW, seconds=2)
    assert not report.kept  # the digest holds keys: it is planned again, and comes to the same
    assert places() == before


def test_no_day_of_a_calendar_gets_a_revision(upgraded):
    assert revise(upgraded, NOW) == 0
    plan_shop(upgraded, NOW, seconds=2)
    assert revise(upgraded, NOW) == 0


def test_nothing_is_published_anew_and_nobody_is_told(upgraded, manager):
    before = Release.objects.get()
    plan_shop(upgraded, NOW, seconds=2)
    assert tell_released(upgraded, before, by=manager, now=NOW) is None
    assert publish_days(upgraded, TODAY, 14, by=manager, now=NOW) == before
    assert not Notice.objects.exists()


def test_an_open_trial_is_worked_out_again_and_then_published(published, manager):
    trial = ask_trial(published, [DayClosed(day(1))], by=manager, now=NOW)
    _work()
    for step in reversed(STEPS.values()):
        back(step)
    Trial.objects.update(base="of the release before")
    for step in STEPS.values():
        step.name_by_rows(apps, connection.schema_editor())
    trial.refresh_from_db()
    assert trial.state == Trial.State.READY
    with pytest.raises(Refusal, match="nothing was published"):
        publish_trial(trial, by=manager, now=NOW)
    _work()
    trial.refresh_from_db()
    assert publish_trial(trial, by=manager, now=NOW).state == Trial.State.PUBLISHED


def _work():
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL, done_at=None):
        assert perform_entry(entry.pk, NOW)
