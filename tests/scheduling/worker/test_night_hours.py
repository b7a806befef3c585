"""When a nightly run is owed.  Clock changes of 2026 (IANA): Denver skips 02:00-03:00 on 8 March
and shows 01:00-02:00 twice on 1 November."""

from datetime import UTC, datetime, time, timedelta

import pytest

from scheduling.models import OutboxEntry
from scheduling.worker.night_hours import owe_nights
from tests import factories

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


def test_days_on_which_the_machine_was_off_are_not_made_up(denver):
    owe_nights(datetime(2026, 3, 2, 12, 0, tzinfo=UTC))
    owe_nights(datetime(2026, 3, 9, 12, 0, tzinfo=UTC))
    assert keys() == [f"nightly:{denver.pk}:2026-03-02", f"nightly:{denver.pk}:2026-03-09"]
