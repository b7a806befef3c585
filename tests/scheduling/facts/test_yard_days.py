"""Days of a yard, at the edges of days, years and daylight saving."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from fleet.models import Reading
from scheduling.facts.yard_days import (
    as_days,
    as_stored,
    day_number,
    from_number,
    local_days,
    seconds,
    zone_of,
)
from tests import factories as make

DENVER, ZURICH, KATHMANDU = (
    ZoneInfo(name) for name in ("America/Denver", "Europe/Zurich", "Asia/Kathmandu")
)


def local(moment, zone):
    return local_days(seconds([moment]), np.array([0]), [zone])[0]


@pytest.mark.parametrize(
    ("moment", "zone", "day", "hours"),
    [
        # half past eleven at night stays on its day
        (datetime(2026, 3, 2, 6, 30, tzinfo=UTC), DENVER, date(2026, 3, 1), 23.5),
        (datetime(2026, 3, 1, 23, 30, tzinfo=UTC), ZURICH, date(2026, 3, 2), 0.5),
        # clocks go forward in Denver on 8 March 2026 at 2:00: 08:59 UTC is 1:59, 09:00 is 3:00
        (datetime(2026, 3, 8, 8, 59, tzinfo=UTC), DENVER, date(2026, 3, 8), 1 + 59 / 60),
        (datetime(2026, 3, 8, 9, 0, tzinfo=UTC), DENVER, date(2026, 3, 8), 3),
        # a zone three quarters of an hour off
        (datetime(2026, 1, 1, 0, 0, tzinfo=UTC), KATHMANDU, date(2026, 1, 1), 5.75),
    ],
)
def test_moment_stands_on_the_yards_day_at_its_hour(moment, zone, day, hours):
    assert local(moment, zone) == pytest.approx(day_number(day) + hours / 24)


def test_moments_of_several_zones_at_once():
    moment = datetime(2026, 3, 2, 6, 30, tzinfo=UTC)
    days = local_days(seconds([moment] * 3), np.array([0, 1, 0]), [DENVER, ZURICH])
    one, other = local(moment, DENVER), local(moment, ZURICH)
    assert days.tolist() == [one, other, one]


@pytest.mark.parametrize("micros", [0, 1, 500_000, 999_999])
def test_texts_of_moments_are_the_moments(micros):
    moments = [datetime(year, 3, 8, 9, 59, 58, micros, tzinfo=UTC) for year in (1969, 2004, 2026)]
    texts = [moment.replace(tzinfo=None).isoformat(" ") for moment in moments]
    assert seconds(texts).tolist() == seconds(moments).tolist()


@pytest.mark.django_db
def test_moments_as_they_are_stored_are_the_moments():
    rows = [make.Reading(read_at=datetime(2026, 3, 8, 9, 59, 58, n, tzinfo=UTC)) for n in (0, 7)]
    kept = Reading.objects.order_by("pk").values_list(as_stored("read_at"))
    stored = tuple(moment for (moment,) in kept)
    assert seconds(stored).tolist() == seconds([row.read_at for row in rows]).tolist()


def test_no_moments():
    assert local_days(np.zeros(0), np.zeros(0, dtype=np.int64), []).size == 0


def test_day_numbers_go_there_and_back():
    assert day_number(date(1970, 1, 1)) == 0
    assert from_number(day_number(date(2024, 2, 29))) == date(2024, 2, 29)
    assert np.isnat(as_days([None]))[0]


@pytest.mark.parametrize("name", ["Nowhere/Else", "", "../etc/passwd"])
def test_zone_that_is_none_is_taken_for_utc(name):
    assert zone_of(name) == ZoneInfo("UTC")
