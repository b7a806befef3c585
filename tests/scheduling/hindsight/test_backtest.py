"""Past nights gone through again.  Today is Monday 2 March 2026."""

from datetime import UTC, date, datetime, timedelta

import pytest

from scheduling.due.refresh import refresh
from scheduling.hindsight.backtest import backtest, nights_of, whole_year
from scheduling.hindsight.forecast_night import keep_and_settle
from scheduling.hindsight.judged_forecasts import judged_forecasts
from scheduling.models import KeptForecast, RangeLevels
from tests import factories as make
from tests.scheduling.cases import serviced
from tests.scheduling.hindsight.forecast_case import NOW, TODAY, fleet, kept

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return make.Shop()


@pytest.fixture
def machine(shop):
    """The one that runs 3 h a day and is serviced every 33 days, just in time."""
    machines, service = fleet(shop)
    for days_ago in range(560, 20, -33):
        serviced(machines[2], service, days_ago)
    return machines[2]


def rows():
    fields = ("machine_id", "made_on", "p10", "p50", "p90", "simple", "truth", "outcome")
    return list(KeptForecast.objects.order_by("made_on", "machine_id").values_list(*fields))


def test_a_year_of_nights_is_kept_and_settled(shop, machine):
    assert backtest(shop, NOW, whole_year(TODAY)) == KeptForecast.objects.count() > 10
    judged = judged_forecasts(KeptForecast.objects.all(), TODAY)
    assert judged.count() > 8
    off = [abs(row.p50 - row.truth) for row in judged]
    assert sum(off) / len(off) <= 3  # it runs like clockwork


def test_only_what_was_known_then_is_used(shop, machine):
    """Readings that were taken later do not change what is said of an earlier day."""
    first = TODAY - DAY * 300
    backtest(shop, NOW - DAY * 200, first)
    said = [row[:6] for row in rows() if row[1] < TODAY - DAY * 230]
    KeptForecast.objects.all().delete()
    backtest(shop, NOW, first)
    assert [row[:6] for row in rows() if row[1] < TODAY - DAY * 230] == said
    assert said


def test_a_second_backtest_adds_nothing_and_real_nights_stay(shop, machine):
    real = kept(machine, machine.makeup.intervals.get().service, days_ago=200, p50=77)
    backtest(shop, NOW, whole_year(TODAY))
    before = rows()
    assert backtest(shop, NOW, whole_year(TODAY)) == 0
    assert rows() == before
    real.refresh_from_db()
    assert real.p50 == 77


def test_a_night_after_the_backtest_settles_what_it_left_open(shop, machine):
    backtest(shop, NOW, whole_year(TODAY))
    refresh(None, NOW, shop=shop, refit=True)
    assert keep_and_settle(shop, NOW).settled == 0


def test_ranges_that_were_too_narrow_are_widened_as_the_year_goes_on(shop):
    """Machines that idle for months and then run: no model foresees it."""
    makeup = make.MakeUp()
    make.Interval(makeup=makeup, every=60.0)
    for number in range(24):
        machine = make.Machine(yard__shop=shop, makeup=makeup, started_on=date(2024, 6, 1))
        meter = make.Meter(machine=machine, fitted_at=datetime(2024, 6, 1, tzinfo=UTC))
        life = 0.0
        for back in range(560, -1, -7):
            life += 25.0 if (back + 11 * number) // 90 % 2 else 2.0
            make.Reading(meter=meter, read_at=NOW - DAY * back, value=life)
            if back % 14 == 0:
                make.ServiceRecord(machine=machine, service=makeup.intervals.get().service,
                                   done_at=NOW - DAY * back)  # fmt: skip
    backtest(shop, NOW, whole_year(TODAY))
    assert RangeLevels.objects.exists()
    for levels in RangeLevels.objects.all():
        assert 0.05 <= levels.low <= 0.15
        assert 0.85 <= levels.high <= 0.95


def test_an_empty_shop_has_nothing_to_backtest(shop):
    assert backtest(shop, NOW, whole_year(TODAY)) == 0


def test_nights_stop_before_today():
    assert nights_of(TODAY - DAY * 56, TODAY, 28) == [TODAY - DAY * 56, TODAY - DAY * 28]
    assert nights_of(TODAY, TODAY) == []
