"""Bookings that a plan gives up, and what is done about them.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.models import HandOver, Override
from scheduling.models import State
from scheduling.queries.given_up import given_up_today, still_given_up
from scheduling.queries.narrowed_yard import YardNarrowing
from scheduling.queries.yard_overview import yard_page
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return factories.Shop()


def lost_booking(shop):
    return factories.Booking(machine__yard__shop=shop)


def plan_without(*bookings):
    """Make a plan that gives up these bookings as they stand."""
    return consequences.Plan(
        shop=bookings[0].machine.yard.shop,
        late_work=1,
        put_off_work=0,
        given_up=[one.pk for one in bookings],
        given_up_as={
            str(one.pk): [one.machine_id, one.first_day.isoformat(), one.last_day.isoformat()]
            for one in bookings
        },
    )


def swap(booking):
    booking.machine = factories.Machine(yard=booking.machine.yard)


def shorten(booking):
    booking.last_day -= DAY


def put_off(booking):
    booking.first_day += DAY


def call_off(booking):
    booking.cancelled_at = NOON


@pytest.mark.parametrize("change", [swap, shorten, put_off, call_off])
def test_what_was_done_about_it_since_lifts_the_mark(shop, change):
    booking = lost_booking(shop)
    plan = plan_without(booking)
    assert still_given_up(plan) == {booking.pk}
    change(booking)
    booking.save()
    assert still_given_up(plan) == set()
    page = yard_page(shop, NOON)
    assert page.at_risk.all == []
    assert "given up" not in page.keeps_up


def test_what_has_gone_out_is_not_given_up(shop):
    booking = lost_booking(shop)
    plan = plan_without(booking)
    HandOver.objects.create(booking=booking, direction="out", at=NOON)
    assert still_given_up(plan) == set()


def test_put_back_as_it_was_it_is_given_up_again(shop):
    booking = lost_booking(shop)
    plan = plan_without(booking)
    for days in (-1, 1):
        booking.last_day += days * DAY
        booking.save()
    assert still_given_up(plan) == {booking.pk}


def test_the_sentence_of_the_plan_counts_those_that_the_headline_counts(shop):
    shorter, anyway, off, *rest = [lost_booking(shop) for _ in range(5)]
    plan = plan_without(shorter, anyway, off, *rest)
    shorten(shorter)
    call_off(off)
    shorter.save()
    off.save()
    Override.objects.create(
        booking=anyway, machine=anyway.machine, against="oil overdue", reason="a short hire",
        by=factories.Person(), at=NOON,
    )  # fmt: skip
    page = yard_page(shop, NOON)
    assert page.say_at_risk == "2 bookings at risk with no way yet"
    assert "2 bookings are given up" in page.keeps_up
    assert given_up_today(plan, TODAY) == 2


@pytest.mark.parametrize("state", [State.CLEAR, State.HELD, State.UNKNOWN])
def test_given_up_bookings_of_another_state_or_service_are_left_out(shop, state):
    booking = lost_booking(shop)
    plan_without(booking)
    narrowed = yard_page(shop, NOON, YardNarrowing(state=state))
    assert narrowed.at_risk.all == []
    assert "1 booking is given up" in narrowed.keeps_up  # of the whole shop
    assert yard_page(shop, NOON, YardNarrowing(service=factories.Service())).at_risk.all == []
    assert len(yard_page(shop, NOON, YardNarrowing(state=State.DUE)).at_risk.no_way) == 1


def test_without_a_plan_nothing_is_asked(shop, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert given_up_today(None, TODAY) == 0
        assert given_up_today(consequences.Plan.build(shop=shop), TODAY) == 0


@pytest.mark.parametrize("number", [2, 9])
def test_the_number_of_queries_does_not_grow(shop, number, django_assert_max_num_queries):
    plan = plan_without(*(lost_booking(shop) for _ in range(number)))
    with django_assert_max_num_queries(6):
        assert given_up_today(plan, TODAY) == number
