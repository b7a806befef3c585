"""The first day on which a hard limit may be passed: meter, calendar, whichever is sooner."""

import pytest

from scheduling.due.own_blocks import limit_days
from scheduling.due.refresh import refresh
from scheduling.models import Block
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago, point, serviced, steady
from tests.scheduling.due.test_line_states import outcome_of

pytestmark = pytest.mark.django_db


def hard(**interval):
    machine = make.Machine()
    steady(machine)
    fields = {"hard": True, "every": 1000, **interval}
    service = make.Interval(makeup=machine.makeup, **fields).service
    serviced(machine, service, 30)
    return machine


@pytest.mark.parametrize(
    ("interval", "days"),
    [
        ({"every_days": 50}, 21),  # due in 20 days, barred from the day after
        ({"every_days": 50, "late_days": 5}, 26),
        ({"every_days": 29}, 0),  # passed
        ({"every_days": 30}, 1),  # due today: it may go out today
        ({"hard": False, "every_days": 50}, float("inf")),
    ],
)
def test_first_day_past_the_window(interval, days):
    assert limit_days(outcome_of(hard(**interval))).tolist() == [days]


def test_sooner_side_counts():
    found = outcome_of(hard(every=180, every_days=50))  # 60 h left, about 15 days
    assert limit_days(found)[0] == found.forecasts.closes_early[0] < 21


def test_limit_that_may_be_passed_asks_for_a_reading():
    machine = make.Machine()
    meter = make.Meter(machine=machine, fitted_at=ago(300))
    for back in range(100, 14, -5):
        make.Reading(meter=meter, read_at=ago(back), value=400 - 4.0 * (back - 15))
    service = make.Interval(makeup=machine.makeup, every=200, hard=True).service
    serviced(machine, service, 50)  # at 260 h: due at 460 h, last read at 400 h
    refresh(None, NOW)
    block = Block.objects.get()
    assert (block.first_day, block.hard) == (TODAY, True)
    assert (block.reach, block.meter_kind) == (Block.Reach.PERHAPS, "hours")
    assert point().state != "overdue"
