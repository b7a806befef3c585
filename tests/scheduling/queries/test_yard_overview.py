"""What the manager's page gathers.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.models import HandOver, ReadingToMend
from scheduling.models import State
from scheduling.queries.risk_groups import GIVEN_UP
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


def test_only_bookings_without_a_way_are_counted_todays_apart(shop):
    at_risk(shop, TODAY)
    at_risk(shop, TODAY + 9 * DAY)
    gone = at_risk(shop, TODAY - DAY)
    HandOver.objects.create(booking=gone, direction="out", at=NOON)
    page = yard_page(shop, NOON)
    assert (len(page.at_risk.no_way), len(page.at_risk.out)) == (2, 1)
    assert page.say_at_risk == "2 bookings at risk with no way yet, 1 of them going out today"


def test_a_booking_that_the_plan_gives_up_stands_by_name(shop):
    booking = factories.Booking(machine__yard__shop=shop)
    consequences.Plan(shop=shop, given_up=[booking.pk])
    (entry,) = yard_page(shop, NOON).at_risk.no_way
    assert (entry.booking, entry.said) == (booking, [GIVEN_UP])


def test_bookings_beyond_the_days_of_the_plan_are_not_looked_at(shop):
    at_risk(shop, TODAY + (shop.horizon_days + 1) * DAY)
    assert yard_page(shop, NOON).at_risk.all == []


def test_the_words_take_the_plural(shop):
    for state in (State.OVERDUE, State.OVERDUE, State.HELD):
        seen = consequences.MachineState(machine__yard__shop=shop, state=state)
        consequences.DuePoint(machine=seen.machine, state=State.OVERDUE)
    page = yard_page(shop, NOON)
    assert (page.say_overdue, page.say_held, page.say_at_risk) == (
        "2 machines overdue",
        "1 held",
        "0 bookings at risk with no way yet",
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
