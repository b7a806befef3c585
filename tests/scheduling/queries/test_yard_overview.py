"""What the manager's page gathers.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.models import ReadingToMend
from scheduling.models import State
from scheduling.queries.yard_overview import to_mend, yard_page
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return factories.Shop()


def at_risk(shop, first):
    machine = factories.Machine(yard__shop=shop)
    booking = factories.Booking(machine=machine, first_day=first, last_day=first + DAY)
    consequences.Block(machine=machine)
    consequences.Block(machine=machine)  # two causes are one booking
    return booking


@pytest.mark.parametrize(
    ("first", "counted"),
    [(TODAY - DAY, 1), (TODAY, 1), (TODAY + 6 * DAY, 1), (TODAY + 7 * DAY, 0)],
)
def test_bookings_at_risk_this_week_go_out_within_seven_days_or_are_out(shop, first, counted):
    at_risk(shop, first)
    page = yard_page(shop, NOON)
    assert (len(page.at_risk), page.at_risk_this_week) == (1, counted)


def test_bookings_beyond_the_days_of_the_plan_are_not_looked_at(shop):
    at_risk(shop, TODAY + (shop.horizon_days + 1) * DAY)
    assert yard_page(shop, NOON).at_risk == []


def test_the_words_take_the_plural(shop):
    for state in (State.OVERDUE, State.OVERDUE, State.HELD):
        consequences.MachineState(machine__yard__shop=shop, state=state)
    page = yard_page(shop, NOON)
    assert (page.say_overdue, page.say_held, page.say_at_risk) == (
        "2 machines overdue",
        "1 held",
        "0 bookings at risk",
    )
    assert not page.calm


def test_a_quiet_shop_is_calm_and_an_empty_one_has_no_machines(shop):
    page = yard_page(shop, NOON)
    assert page.calm
    assert page.machines == 0


def test_readings_to_mend_are_those_of_the_shop_and_of_no_machine(shop):
    for number, machine in enumerate(
        (None, factories.Machine(yard__shop=shop), factories.Machine())
    ):
        ReadingToMend.objects.create(
            fingerprint=str(number),
            machine=machine,
            source="file",
            reason="backwards",
            sentence="It ran back.",
            entered_at=NOON,
        )
    assert to_mend(shop) == 2
    ReadingToMend.objects.update(mended_at=NOON)
    assert to_mend(shop) == 0
