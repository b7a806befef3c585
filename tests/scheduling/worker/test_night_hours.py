"""When a nightly run is owed.  Clock changes of 2026 (IANA): Denver skips 02:00-03:00 on 8 March
and shows 01:00-02:00 twice on 1 November."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils.dateparse import parse_time

from fleet.models import Shop
from scheduling.models import OutboxEntry
from scheduling.worker.night_hours import night_of, owe_nights
from tests import consequences, factories

pytestmark = pytest.mark.django_db


def keys():
    return list(OutboxEntry.objects.order_by("pk").values_list("key", flat=True))


@pytest.fixture
def denver():
    return factories.Shop(time_zone="America/Denver", nightly_at=time(2))


@pytest.mark.parametrize(
    ("utc", "owed"),
    [
        (datetime(2026, 3, 2, 8, 59, tzinfo=UTC), False),  # 01:59 in Denver
        (datetime(2026, 3, 2, 9, 0, tzinfo=UTC), True),  # 02:00
        (datetime(2026, 3, 2, 20, 0, tzinfo=UTC), True),  # 13:00: was off at night, catches up
    ],
)
def test_a_night_is_owed_from_the_hour_of_the_shop_on(denver, utc, owed):
    assert owe_nights(utc) == int(owed)
    assert keys() == ([f"nightly:{denver.pk}:2026-03-02"] if owed else [])


def test_each_shop_has_its_own_night(denver):
    zurich = factories.Shop(time_zone="Europe/Zurich", nightly_at=time(2))
    owe_nights(datetime(2026, 3, 2, 2, 0, tzinfo=UTC))  # 03:00 in Zurich, 19:00 the day before
    assert f"nightly:{zurich.pk}:2026-03-02" in keys()
    assert f"nightly:{denver.pk}:2026-03-01" in keys()


def test_asking_every_minute_owes_one_run_a_day(denver):
    start = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
    new = [owe_nights(start + timedelta(minutes=10 * n)) for n in range(6 * 24)]
    assert sum(new) == 1


def test_an_hour_that_the_clock_skips_is_made_up_when_it_has_jumped(denver):
    denver.nightly_at = time(2, 30)
    denver.save()
    before = datetime(2026, 3, 8, 8, 59, tzinfo=UTC)  # 01:59 MST, then comes 03:00 MDT
    assert owe_nights(before) == 0
    assert owe_nights(before + timedelta(minutes=1)) == 1


def test_an_hour_that_the_clock_shows_twice_counts_once(denver):
    denver.nightly_at = time(1, 30)
    denver.save()
    first = datetime(2026, 11, 1, 7, 30, tzinfo=UTC)  # 01:30 MDT
    assert owe_nights(first) == 1
    assert owe_nights(first + timedelta(hours=1)) == 0  # 01:30 MST


def had_a_night(shop, day):
    consequences.NightlyRun(shop=shop, day=day)


def test_of_days_on_which_the_machine_was_off_the_latest_night_is_made_good(denver):
    owe_nights(datetime(2026, 3, 2, 12, 0, tzinfo=UTC))
    owe_nights(datetime(2026, 3, 9, 12, 0, tzinfo=UTC))
    assert keys() == [f"nightly:{denver.pk}:2026-03-02", f"nightly:{denver.pk}:2026-03-09"]


def test_a_missed_night_is_made_good_at_start_whatever_the_hour(denver):
    """Off from the 2nd to 00:30 on the 9th in Denver: the night of the 8th is owed at once."""
    had_a_night(denver, date(2026, 3, 2))
    start = datetime(2026, 3, 9, 6, 30, tzinfo=UTC)
    assert owe_nights(start) == 1
    assert owe_nights(start + timedelta(minutes=89)) == 0  # 01:59
    assert owe_nights(start + timedelta(minutes=90)) == 1  # 02:00, the 9th's own
    assert keys() == [f"nightly:{denver.pk}:2026-03-08", f"nightly:{denver.pk}:2026-03-09"]


def test_a_night_half_a_minute_before_midnight_is_run_though_nobody_looks_in_that_half(denver):
    denver.nightly_at = time(23, 59, 30)
    denver.save()
    had_a_night(denver, date(2026, 3, 1))
    midnight = datetime(2026, 3, 3, 7, 0, tzinfo=UTC)  # 00:00 in Denver
    owe_nights(midnight - timedelta(seconds=40))  # 23:59:20: owes that of the 1st, were it missing
    owe_nights(midnight + timedelta(seconds=20))  # 00:00:20
    assert keys() == [f"nightly:{denver.pk}:2026-03-01", f"nightly:{denver.pk}:2026-03-02"]


@pytest.mark.parametrize("change", [date(2026, 3, 8), date(2026, 11, 1)])
@pytest.mark.parametrize("at", [time(0), time(1, 30), time(2, 30), time(23, 59, 30)])
def test_around_a_clock_change_each_night_is_owed_once(denver, change, at):
    """Asked every minute for 71 hours: no night twice, none left out."""
    denver.nightly_at = at
    denver.save()
    had_a_night(denver, change - timedelta(days=3))
    start = datetime.combine(change - timedelta(days=1), time(), ZoneInfo("America/Denver"))
    moments = [start.astimezone(UTC) + timedelta(minutes=n) for n in range(71 * 60)]
    days = list(dict.fromkeys(night_of(denver, now) for now in moments))
    assert days == sorted(days)
    late = at > time(23)  # the last one is for the minute after these
    assert days[-3:] == [change + timedelta(days=n - late) for n in (-1, 0, 1)]


def test_a_shop_with_a_broken_zone_stops_no_other(denver):
    factories.Shop(time_zone="Mars/Olympus", nightly_at=time(0))
    assert owe_nights(datetime(2026, 3, 2, 9, 0, tzinfo=UTC)) == 2


@pytest.mark.parametrize("spoiled", ["25:99:00", "at two"])
def test_a_shop_whose_hour_cannot_be_read_stops_no_other(denver, spoiled, monkeypatch, caplog):
    bad, plain = factories.Shop(nightly_at=time(0)), Shop.from_db

    def as_sqlite_reads_it(cls, db, names, values):
        row = dict(zip(names, values, strict=True))
        if row["id"] == bad.pk:
            row["nightly_at"] = parse_time(spoiled)  # ValueError, or None
        return plain(db, names, list(row.values()))

    monkeypatch.setattr(Shop, "from_db", classmethod(as_sqlite_reads_it))
    owe_nights(datetime(2026, 3, 2, 9, 0, tzinfo=UTC))
    assert keys() == [f"nightly:{denver.pk}:2026-03-02"]
    assert "read" in caplog.text
