"""Due points, states and blocks through the database, worked out by hand beside."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import MeterKind
from scheduling.models import Block, DuePoint, MachineState
from scheduling.refresh import refresh
from tests import factories as make

pytestmark = pytest.mark.django_db
NOW = make.NOON


def steady(machine, rate=4.0, start=100.0, days=60, every=5):
    """A meter read every few days that runs at one rate; 100 h sixty days ago, 340 h now."""
    meter = make.Meter(machine=machine, fitted_at=NOW - timedelta(days=400), first_value=0)
    for back in range(days, -1, -every):
        make.Reading(
            meter=meter, read_at=NOW - timedelta(days=back), value=start + rate * (days - back)
        )
    return meter


@pytest.fixture
def oil():
    return make.Service(name="Oil change", code="oil")


def test_due_point_follows_from_the_last_service(oil):
    machine = make.Machine()
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    make.ServiceRecord(machine=machine, service=oil, done_at=NOW - timedelta(days=30))
    refresh(None, NOW)
    point = DuePoint.objects.get()
    assert point.due_life == pytest.approx(220 + 250)
    assert point.life_now == pytest.approx(340)
    assert point.remaining == pytest.approx(130)
    assert point.state == "clear"
    assert point.p10 <= point.p50
    assert date(2026, 3, 20) < point.p50 < date(2026, 5, 10)  # 130 h at about 4 h a day
    assert "4 h a day" in point.why


def writes(queries):
    return [
        q["sql"] for q in queries if q["sql"].lstrip().startswith(("INSERT", "UPDATE", "DELETE"))
    ]


def test_second_run_writes_nothing(oil):
    machine = make.Machine()
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=100)
    make.Hold(machine=machine)
    make.Booking(machine=machine)
    refresh(None, NOW, refit=True)
    with CaptureQueriesContext(
        connection,
    ) as seen:
        refresh(None, NOW, refit=True)
    assert writes(seen.captured_queries) == []
    assert Block.objects.count() == 3
