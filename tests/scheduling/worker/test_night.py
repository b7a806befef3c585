"""The nightly run of one shop."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db.models import Count

from fleet.models import KeptDay, Shop
from scheduling.models import (
    Block,
    DuePoint,
    MachineState,
    NightlyRun,
    Notice,
    OutboxEntry,
    Plan,
    PlannedJob,
    PlannedWork,
    PlanSearch,
    UseModel,
)
from scheduling.worker import night
from scheduling.worker.night import PLAN_SECONDS, day_ahead, run_night, stages
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
DENVER = ZoneInfo("America/Denver")


@pytest.fixture
def shop():
    """A shop with its three people, and a machine at 95 h of 100 that is booked from Thursday."""
    shop = factories.Shop(name="Cold Fork")
    factories.Person(shop=shop)
    factories.Person(shop=shop, role="desk")
    factories.Mechanic(shop=shop)
    machine = factories.Machine(yard__shop=shop, tag="SL-04")
    factories.Interval(makeup=machine.makeup)
    meter = factories.Meter(machine=machine)
    for weeks in range(9):
        read_at = NOON - DAY * 7 * (8 - weeks)
        factories.Reading(meter=meter, value=15 + 10.0 * weeks, read_at=read_at)
    factories.Booking(machine=machine)
    return shop


def everything():
    """Every consequence as rows."""
    models = (Block, DuePoint, OutboxEntry, MachineState, Notice, Plan, PlannedJob, PlannedWork,
              UseModel)  # fmt: skip
    return {model.__name__: list(model.objects.order_by("pk").values()) for model in models}


def test_a_night_leads_from_readings_to_notices(shop):
    """The service of SL-04 is planned before it goes; of the held machine the desk is told."""
    factories.Hold(machine=factories.Booking(machine__yard__shop=shop).machine)
    report = run_night(shop, NOON)
    assert report["ok"], report
    assert list(report["stages"]) == list(stages(PLAN_SECONDS))
    assert DuePoint.objects.get().machine.tag == "SL-04"
    assert Plan.objects.get().shop == shop
    kinds = set(Notice.objects.values_list("kind", flat=True))
    assert {Notice.Kind.MORNING, Notice.Kind.AT_RISK} <= kinds


def test_run_twice_the_second_changes_nothing(shop):
    run_night(shop, NOON)
    before = everything()
    report = run_night(shop, NOON + timedelta(hours=1))
    assert report["ok"]
    assert everything() == before


def test_the_run_is_kept_once_a_day_with_its_report(shop):
    report = run_night(shop, NOON)
    run_night(shop, NOON)
    run = NightlyRun.objects.get()
    assert (run.day, run.stage, run.report["ok"]) == (NOON.date(), "", True)
    assert run.finished_at >= run.started_at == NOON
    assert run.report["stages"].keys() == report["stages"].keys()
    run_night(shop, NOON + DAY)
    assert NightlyRun.objects.count() == 2


def test_the_day_is_the_shops_own(shop):
    shop.time_zone = "Pacific/Auckland"
    assert run_night(shop, NOON)["day"] == "2026-03-03"  # 01:00 on the 3rd there


def test_it_tells_each_stage_as_it_begins(shop):
    heard = []
    run_night(shop, NOON, heard.append)
    assert heard == [f"Cold Fork: {words}" for words, _ in stages(PLAN_SECONDS).values()]


def test_a_stage_that_fails_says_so_and_the_rest_goes_on(shop, monkeypatch, caplog):
    def fail(*_, **__):
        raise ArithmeticError("the solver is out of breath")

    monkeypatch.setattr(night, "plan_shop", fail)
    report = run_night(shop, NOON)
    assert not report["ok"]
    assert report["stages"]["plan"]["failed"] == (
        "The program came upon something that it cannot work with; the log says where."
        " (ArithmeticError: the solver is out of breath)"
    )
    assert report["stages"]["notices"]["summaries"] == 1
    assert "The stage plan of the nightly run of Cold Fork failed" in caplog.text
    assert NightlyRun.objects.get().report["ok"] is False


def test_a_shop_with_nothing_in_it_says_what_is_missing():
    report = run_night(factories.Shop(), NOON)
    assert report["ok"], report
    said = " ".join(report["missing"])
    assert "No machine yet" in said
    assert "Nobody belongs to this shop yet" in said


def test_what_is_missing_is_said_once(shop):
    missing = run_night(shop, NOON)["missing"]
    assert len(missing) == len(set(missing))


@pytest.mark.parametrize(
    ("starts", "local", "list_day"),
    [
        (time(2), datetime(2026, 3, 2, 2, tzinfo=DENVER), date(2026, 3, 2)),
        (
            time(2),
            datetime(2026, 3, 2, 15, tzinfo=DENVER),
            date(2026, 3, 2),
        ),  # catches up in the day
        (
            time(23),
            datetime(2026, 3, 1, 23, tzinfo=DENVER),
            date(2026, 3, 2),
        ),  # starts the evening before
        (time(23), datetime(2026, 3, 2, 10, tzinfo=DENVER), date(2026, 3, 2)),  # late by a night
        (time(23, 59, 30), datetime(2026, 3, 2, 0, 0, 5, tzinfo=DENVER), date(2026, 3, 2)),
        (time(2), datetime(2026, 3, 2, 1, tzinfo=DENVER), date(2026, 3, 2)),  # by hand, early
    ],
)
def test_lists_are_for_the_day_that_the_night_prepares(starts, local, list_day):
    shop = Shop(nightly_at=starts, time_zone="America/Denver")
    assert day_ahead(shop, local) == list_day


def test_lists_of_days_that_were_missed_are_kept_from_the_plan_as_it_stood(shop):
    """Off from Monday's night to Thursday noon: Tuesday's and Wednesday's lists are made good."""
    run_night(shop, NOON)
    (work,) = PlannedWork.objects.exclude(job=None)
    planned = {work.job.day: 1}
    report = run_night(shop, NOON + 3 * DAY)
    assert report["stages"]["missed"]["lists_kept"] == 2
    kept = KeptDay.objects.annotate(count=Count("work")).values_list("day", "count").order_by("day")
    days = [TODAY + n * DAY for n in range(4)]
    assert [day for day, _ in kept] == days
    assert dict(kept) | {days[3]: 0} == {day: planned.get(day, 0) for day in days} | {days[3]: 0}
    assert run_night(shop, NOON + 3 * DAY)["stages"]["missed"]["lists_kept"] == 0


def test_a_zone_that_is_not_known_stops_no_night_and_is_said(shop):
    Shop.objects.filter(pk=shop.pk).update(time_zone="Mars/Olympus")
    shop.refresh_from_db()
    report = run_night(shop, NOON)
    assert report["ok"], report
    assert "'Mars/Olympus' is not a time zone" in report["missing"][0]


def test_a_search_that_a_kill_left_open_is_closed_by_the_next_night(shop):
    left = consequences.PlanSearch(shop=shop, cause="night", began_at=NOON - DAY, stage="searching")
    other = consequences.PlanSearch(cause="night", began_at=NOON - DAY, stage="of another shop")
    run_night(shop, NOON)
    left.refresh_from_db()
    other.refresh_from_db()
    assert (left.ended_at, left.failed, left.stage) == (NOON, True, "")
    assert other.ended_at is None
    assert not PlanSearch.objects.filter(shop=shop, ended_at=None).exists()


def test_a_plan_gets_more_seconds_the_more_work_there_is_unless_they_are_given(monkeypatch):
    asked = []

    def plan_shop(shop, now, seconds, tell, *, a_piece):
        asked.append((seconds, a_piece))
        raise ValueError("no more is asked of it")

    monkeypatch.setattr(night, "plan_shop", plan_shop)
    shop = factories.Shop()
    run_night(shop, factories.NOON)
    run_night(shop, factories.NOON, plan_seconds=3.0)
    assert asked == [(night.PLAN_SECONDS, night.PLAN_SECONDS_A_PIECE), (3.0, 0.0)]
