"""Which meter is most worth reading.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from scheduling.due.refresh import refresh
from scheduling.due.worth_reading import LEAST_GAIN
from scheduling.models import DuePoint, MachineState
from tests import factories as make
from tests.scheduling.cases import NOW, ago, serviced

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def fleet_of(shop, makeup, machines=8):
    """Machines that teach the fleet that use comes unevenly."""
    for number in range(machines):
        meter = make.Meter(machine=make.Machine(yard__shop=shop, makeup=makeup))
        life = 0.0
        for back in range(360, -1, -6):
            life += (number * 7 + back * 5) % 11 * (0.5 + number / 3)
            make.Reading(meter=meter, read_at=ago(back), value=life)


@pytest.fixture
def shop():
    return make.Shop()


def machine_read(shop, last_read, left, rate=3.0, **interval):
    """A machine last read so many days ago, with so much left at that reading."""
    machine = make.Machine(yard__shop=shop, makeup__model=f"R{last_read}-{left}")
    rule = make.Interval(makeup=machine.makeup, **{"every": 200.0, **interval})
    meter = make.Meter(machine=machine)
    for back in range(last_read + 120, last_read - 1, -6):
        make.Reading(meter=meter, read_at=ago(back), value=1000 + rate * (last_read + 120 - back))
    done = last_read + round((200 - left) / rate)
    serviced(machine, rule.service, done)
    return machine


def worth(machine):
    state = MachineState.objects.get(machine=machine)
    return state.reading_kind, state.reading_gain, state.reading_why


def test_a_stale_meter_is_worth_a_walk_and_says_why(shop):
    fleet_of(shop, make.MakeUp())
    stale = machine_read(shop, last_read=40, left=180)
    refresh(None, NOW, shop=shop)
    kind, gain, why = worth(stale)
    service = DuePoint.objects.get(machine=stale).service
    assert kind == "hours"
    assert gain >= LEAST_GAIN
    assert why == (
        f"Last read 40 days ago; a reading would narrow the dates of {service} by {gain:.0f} days"
    )


def test_one_that_was_read_today_is_not(shop):
    fleet_of(shop, make.MakeUp())
    fresh = machine_read(shop, last_read=0, left=180)
    refresh(None, NOW, shop=shop)
    assert worth(fresh) == ("", 0, "")


def test_the_staler_of_two_is_worth_more(shop):
    fleet_of(shop, make.MakeUp())
    week, month = machine_read(shop, 14, 190), machine_read(shop, 42, 190)
    refresh(None, NOW, shop=shop)
    assert worth(month)[1] > worth(week)[1]


def test_what_may_already_be_due_asks_for_a_look_whatever_it_gains(shop):
    fleet_of(shop, make.MakeUp())
    doubtful = machine_read(shop, last_read=30, left=60)
    refresh(None, NOW, shop=shop)
    _, _, why = worth(doubtful)
    assert why.endswith("may already be due: only the hour meter can tell")


def test_what_a_reading_shows_due_needs_no_other(shop):
    fleet_of(shop, make.MakeUp())
    overdue = machine_read(shop, last_read=30, left=-10)
    refresh(None, NOW, shop=shop)
    assert worth(overdue)[2] == ""


def test_a_new_reading_takes_it_off_the_list(shop):
    fleet_of(shop, make.MakeUp())
    stale = machine_read(shop, last_read=40, left=180)
    refresh(None, NOW, shop=shop)
    make.Reading(meter=stale.meters.get(), read_at=NOW, value=1000 + 3.0 * 160)
    refresh([stale.pk], NOW)
    assert worth(stale) == ("", 0, "")


def test_a_machine_that_was_never_read_is_asked_for_elsewhere(shop):
    machine = make.Machine(yard__shop=shop)
    make.Interval(makeup=machine.makeup)
    make.Meter(machine=machine)
    refresh(None, NOW, shop=shop)
    assert worth(machine) == ("", 0, "")
