"""What a night keeps and settles.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling.core.verification import fortnight_of
from scheduling.due.refresh import refresh
from scheduling.facts.yard_days import day_number
from scheduling.hindsight.forecast_night import keep_and_settle
from scheduling.models import DuePoint, KeptForecast, RangeLevels, UseModel
from tests import factories as make
from tests.scheduling.cases import serviced
from tests.scheduling.hindsight.forecast_case import NOW, OPEN, TODAY, fleet, kept

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
Outcome = KeptForecast.Outcome


@pytest.fixture
def shop():
    return make.Shop()


def night(shop, now=NOW):
    refresh(None, now, shop=shop, refit=True)
    return keep_and_settle(shop, now)


def everything():
    return [list(model.objects.order_by("pk").values()) for model in (KeptForecast, RangeLevels)]


def test_what_is_said_today_is_kept_beside_the_simple_average(shop):
    machines, service = fleet(shop)
    for machine in machines:
        serviced(machine, service, 10)
    assert night(shop).kept == 3
    row = KeptForecast.objects.get(machine=machines[2])
    point = DuePoint.objects.get(machine=machines[2])
    assert (row.service, row.kind, row.made_on) == (service, "hours", TODAY)
    assert row.due_life == point.due_life
    assert TODAY + DAY * row.p10 == point.p10
    assert TODAY + DAY * row.p50 == point.p50
    # serviced 10 days ago at 3 h a day: 70 h are left
    assert row.simple == pytest.approx(70 / 3, abs=1.5)
    assert (row.low_level, row.high_level, row.outcome) == (0.1, 0.9, "")


def test_run_twice_the_second_run_changes_nothing(shop):
    fleet(shop)
    night(shop)
    before = everything()
    again = night(shop, NOW + timedelta(hours=1))
    assert (again.settled, again.kept, again.adjusted) == (0, 0, 0)
    assert everything() == before


def test_each_service_is_kept_once_a_fortnight(shop):
    machines, service = fleet(shop, machines=1)
    serviced(machines[0], service, 3)
    for ahead in range(0, 30, 3):
        night(shop, NOW + DAY * ahead)
    fortnights = [fortnight_of(day_number(row.made_on), row.machine_id)
             for row in KeptForecast.objects.all()]  # fmt: skip
    assert len(fortnights) == len(set(fortnights))
    assert 2 <= len(fortnights) <= 3


def test_what_nobody_was_told_is_not_kept(shop):
    # the first runs 1 h a day and has 840 h left: beyond 120 days
    (_, passed, calendar, unread), service = fleet(shop, machines=4, interval=1400.0)
    make.Interval(makeup=None, machine=passed, service=service, every=50.0)  # past already
    # 70 h left at 3 h a day, but the calendar says 8 March, 645 days after the start
    make.Interval(makeup=None, machine=calendar, service=service, every=1750.0, every_days=645)
    unread.meters.get().readings.all().delete()
    night(shop)
    by_calendar = DuePoint.objects.get(machine=calendar)
    assert by_calendar.p10 == by_calendar.due_day == TODAY + DAY * 6
    assert not KeptForecast.objects.exists()


def test_a_due_point_that_was_passed_is_settled(shop):
    machines, service = fleet(shop)
    # 2 h a day: 1,000 h of life 500 days after the first reading, so 60 days ago
    row = kept(machines[1], service, days_ago=100, due_life=1000.0, p10=30, p50=41, p90=50, **OPEN)
    assert night(shop).settled == 1
    row.refresh_from_db()
    assert (row.truth, row.outcome) == (40, Outcome.INSIDE)
    assert 40 <= (row.settled_on - row.made_on).days <= 47


@pytest.mark.parametrize(
    ("ends", "outcome"),
    [
        ((41, 44, 50), Outcome.EARLIER),
        ((20, 30, 39), Outcome.LATER),
        ((20, 30, None), Outcome.INSIDE),
    ],
)
def test_where_it_fell_is_noted(shop, ends, outcome):
    machines, service = fleet(shop)
    said = dict(zip(("p10", "p50", "p90"), ends, strict=True))
    row = kept(machines[1], service, days_ago=100, due_life=1000.0, **said, **OPEN)
    night(shop)
    row.refresh_from_db()
    assert row.outcome == outcome


def test_after_120_days_it_is_settled_as_beyond(shop):
    machines, service = fleet(shop)
    row = kept(machines[0], service, days_ago=125, due_life=5000.0, **OPEN)
    night(shop)
    row.refresh_from_db()
    assert (row.truth, row.outcome) == (120, Outcome.LATER)


def test_an_early_service_strikes_nothing_out(shop):
    machines, service = fleet(shop)
    row = kept(machines[1], service, days_ago=100, due_life=1000.0, p10=30, p90=50, **OPEN)
    serviced(machines[1], service, 90)
    night(shop)
    row.refresh_from_db()
    assert row.truth == 40


def test_what_lies_ahead_stays_open(shop):
    machines, service = fleet(shop)
    kept(machines[1], service, days_ago=10, due_life=1e6, **OPEN)
    assert night(shop).settled == 0


def test_a_machine_that_left_is_given_up_in_the_end(shop):
    machines, service = fleet(shop)
    machines[0].retired_on = TODAY - DAY * 170
    machines[0].save()
    early = kept(machines[0], service, days_ago=181, **OPEN)
    late = kept(machines[0], service, days_ago=150, **OPEN)
    night(shop)
    early.refresh_from_db()
    late.refresh_from_db()
    assert (early.outcome, early.truth, late.outcome) == (Outcome.UNREAD, None, "")


def test_the_adjusted_chances_are_asked_for_from_tomorrow_on(shop):
    machines, service = fleet(shop, machines=40)
    for number, machine in enumerate(machines):
        later = number % 2 == 0  # half the truths lie after the range
        kept(machine, service, truth=80 if later else 30,
             outcome=Outcome.LATER if later else Outcome.INSIDE)  # fmt: skip
    report = night(shop)
    assert report.adjusted == 1
    levels = RangeLevels.objects.get()
    assert (levels.holds_from, levels.high, levels.judged) == (TODAY + DAY, 0.95, 40)
    today = KeptForecast.objects.filter(made_on=TODAY).first()
    assert today.high_level == 0.9
    before = DuePoint.objects.get(machine=machines[0]).p90
    refresh(None, NOW + timedelta(hours=2), shop=shop)
    assert DuePoint.objects.get(machine=machines[0]).p90 == before
    night(shop, NOW + DAY * 14)
    assert KeptForecast.objects.order_by("-made_on").first().high_level == 0.95


def test_another_shops_outcomes_move_nothing(shop):
    machines, service = fleet(make.Shop(), machines=40)
    for machine in machines:
        kept(machine, service, truth=80, outcome=Outcome.LATER)
    fleet(shop)
    assert night(shop).adjusted == 0


def test_an_empty_shop_keeps_nothing(shop):
    report = night(shop)
    assert (report.kept, report.settled, report.held["all"]["inside"]) == (0, 0, 0)


def test_a_shop_that_has_learnt_nothing_keeps_nothing(shop):
    fleet(shop)
    refresh(None, NOW, shop=shop)
    UseModel.objects.all().delete()
    assert keep_and_settle(shop, NOW).kept == 0


@pytest.mark.parametrize("machines", [2, 12])
def test_the_number_of_queries_does_not_grow(shop, machines):
    found, service = fleet(shop, machines=machines)
    for machine in found:
        kept(machine, service, days_ago=100, due_life=200.0, **OPEN)
        serviced(machine, service, 5)
    refresh(None, NOW, shop=shop, refit=True)
    with CaptureQueriesContext(connection) as seen:
        report = keep_and_settle(shop, NOW)
    assert (report.settled, report.kept) == (machines, machines)
    assert len(seen) <= 28
