from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling.due.refresh import refresh
from scheduling.queries.meter_fan import QUANTILES, fan
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago, point, serviced, steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return make.Machine(yard__time_zone="America/Denver")


def test_line_and_fan(machine):
    meter = steady(machine, every=1)
    make.Reading(meter=meter, read_at=ago(12.5), value=2920)
    found = fan(machine, "hours", NOW)
    assert (found.today, found.days[0], len(found.days)) == (TODAY, TODAY, 121)
    assert found.line[-1] == (datetime(2026, 3, 2, 5, tzinfo=machine.yard.zone), 340)
    assert found.life_now == 340
    (rejected,) = found.rejected
    assert (rejected.value, rejected.life) == (2920, 2920)
    assert rejected.sentence.startswith("more use than")
    for lives in found.quantiles.values():
        assert lives == sorted(lives)
        assert lives[0] >= 340
    for lower, higher in pairwise(QUANTILES):
        low, high = found.quantiles[lower], found.quantiles[higher]
        assert all(a <= b for a, b in zip(low, high, strict=True))
    # 4 h a day for 30 days
    assert found.quantiles[0.5][30] == pytest.approx(340 + 4 * 30, rel=0.15)
    assert found.sentence.startswith("340.0 h of use at Mon 2 Mar, today; likely")


def test_fan_and_due_point_tell_the_same_day(machine):
    steady(machine, every=1)
    interval = make.Interval(makeup=machine.makeup, every=300)
    serviced(machine, interval.service, 30)
    refresh(None, NOW)
    found, due = fan(machine, "hours", NOW), point()
    (threshold,) = found.thresholds
    assert (threshold.life, threshold.p50) == (due.due_life, due.p50)
    crossing = next(
        day for day, life in zip(found.days, found.quantiles[0.5], strict=True)
        if life >= due.due_life
    )  # fmt: skip
    assert abs((crossing - due.p50).days) <= 1


def test_bookings_stand_under_the_fan(machine):
    steady(machine)
    make.Booking(machine=machine, customer="Alder Creek fencing")
    booking = (date(2026, 3, 5), date(2026, 3, 8), "Alder Creek fencing")
    assert fan(machine, "hours", NOW).bookings == [booking]


def test_meter_that_was_never_read(machine):
    make.Meter(machine=machine, fitted_at=ago(30))
    found = fan(machine, "hours", NOW)
    assert (found.line, found.life_now, found.read_at) == ([], None, None)
    assert found.sentence.startswith("No reading counts yet")


def test_no_meter_of_that_kind(machine):
    assert fan(machine, "cycles", NOW) is None


def test_fan_takes_few_queries(machine):
    steady(machine)
    refresh(None, NOW)
    machine.refresh_from_db()
    with CaptureQueriesContext(connection) as seen:
        fan(machine, "hours", NOW + timedelta(minutes=1))
    assert len(seen) <= 12
