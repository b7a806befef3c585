"""Bookings at risk by what is left to decide.  Bookings run 5 to 8 March; today is the 2nd."""

from datetime import timedelta

import pytest

from fleet.models import HandOver, Override
from scheduling.models import Block
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.risk_advice import at_risk
from scheduling.queries.risk_groups import GIVEN_UP, risk_groups
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return factories.Shop()


def barred(shop, first=3, **facts):
    booking = factories.Booking(
        machine__yard__shop=shop, first_day=TODAY + first * DAY, last_day=TODAY + 8 * DAY
    )
    consequences.Block(machine=booking.machine, **facts)
    return booking


def groups(shop, given_up=()):
    bookings = open_bookings(shop, TODAY)
    return risk_groups(at_risk(risks_of(bookings, TODAY), TODAY), given_up, TODAY)


def override(booking, **facts):
    """Decide against what stands against it: the service of its block, if it has one."""
    point = booking.machine.blocks.get().due_point
    usual = {
        "machine": booking.machine, "against": "oil overdue", "reason": "a short hire",
        "service": point.service if point else None, "at": NOON,
    }  # fmt: skip
    by = factories.Person(first_name="Odile")
    return Override.objects.create(booking=booking, by=by, **(usual | facts))


def bookings(entries):
    return [entry.booking for entry in entries]


def test_todays_come_first_and_only_a_few_later_ones_are_shown_at_once(shop):
    later = [barred(shop, first=n) for n in (3, 4, 5)]
    today = barred(shop, first=0)
    found = groups(shop)
    assert bookings(found.today) == [today]
    assert bookings(found.at_once) == [today, later[0]]
    assert bookings(found.later) == later[1:]


def test_of_many_later_ones_the_last_are_fetched_when_they_are_looked_at(shop):
    later = [barred(shop, first=3 + n // 3) for n in range(14)]
    found = groups(shop)
    assert [*found.at_once, *found.next_later, *found.last] == list(found.no_way)
    assert (len(found.next_later), bookings(found.last)) == (10, later[12:])


def test_work_planned_before_it_goes_out_is_a_way(shop):
    booking = barred(shop)
    point = booking.machine.blocks.get().due_point
    job = consequences.PlannedJob(machine=booking.machine, day=TODAY + DAY)
    consequences.PlannedWork(job=job, due_point=point, service=point.service)
    found = groups(shop)
    assert (bookings(found.planned), found.no_way) == ([booking], [])
    given_up = groups(shop, [booking])
    assert bookings(given_up.no_way) == [booking]
    assert given_up.no_way[0].said[-1] == GIVEN_UP


def test_what_is_out_is_a_group_of_its_own_and_never_given_up(shop):
    booking = barred(shop, first=0)
    HandOver.objects.create(booking=booking, direction="out", at=NOON)
    (out,) = open_bookings(shop, TODAY)
    found = groups(shop, [out])
    assert (bookings(found.out), found.no_way) == ([booking], [])


def test_a_decision_by_name_is_a_way_but_not_against_what_nobody_decides(shop):
    soft, hard = barred(shop), barred(shop, kind=Block.Kind.LIMIT, hard=True)
    hold = factories.Hold()
    held = barred(shop, kind=Block.Kind.HOLD, hold=hold, due_point=None)
    for booking in (soft, hard, held):
        override(booking)
    found = groups(shop)
    assert bookings(found.planned) == [soft]
    assert found.planned[0].decided == ("Odile let it go anyway on Mon 2 Mar: a short hire")
    assert bookings(found.no_way) == [hard, held]


def test_a_decision_that_was_struck_decides_nothing(shop):
    booking = barred(shop)
    row = override(booking)
    row.struck = True
    row.save()
    assert bookings(groups(shop).no_way) == [booking]


def test_what_stands_against_it_later_was_not_decided(shop):
    booking = barred(shop)
    override(booking)
    assert bookings(groups(shop).planned) == [booking]
    later = consequences.Block(machine=booking.machine)
    assert bookings(groups(shop).no_way) == [booking]
    Override.objects.create(
        booking=booking, machine=booking.machine, against="chain", reason="looked at it",
        service=later.due_point.service, by=factories.Person(), at=NOON,
    )  # fmt: skip
    assert bookings(groups(shop).planned) == [booking]


def test_a_decision_about_the_machine_before_does_not_cover_the_one_in_its_place(shop):
    booking = barred(shop)
    override(booking, machine=factories.Machine())
    assert bookings(groups(shop).no_way) == [booking]


def test_a_decision_kept_without_its_service_speaks_of_the_one_that_it_names(shop):
    booking, other = barred(shop), barred(shop)
    service = booking.machine.blocks.get().due_point.service
    for one in (booking, other):
        override(one, service=None, against=f"{service} overdue by 12 h")
    found = groups(shop)
    assert (bookings(found.planned), bookings(found.no_way)) == ([booking], [other])


def test_of_several_services_that_fall_due_each_has_to_be_decided(shop):
    booking = factories.Booking(machine__yard__shop=shop, first_day=TODAY + 3 * DAY)
    oil, chain, planned = (factories.Service() for _ in range(3))
    day, before = (TODAY + 4 * DAY).isoformat(), (TODAY + DAY).isoformat()
    consequences.Block(
        machine=booking.machine, kind=Block.Kind.FALLS_DUE, booking=booking, due_point=None,
        first_day=booking.first_day, last_day=booking.last_day,
        works=[{"service": one.pk, "day": day, "planned": before if one == planned else None}
               for one in (oil, chain, planned)],
    )  # fmt: skip
    override(booking, service=oil)
    assert bookings(groups(shop).no_way) == [booking]
    override(booking, service=chain)
    assert bookings(groups(shop).planned) == [booking]


@pytest.mark.parametrize("number", [2, 12])
def test_the_number_of_queries_does_not_grow(shop, number, django_assert_num_queries):
    for _ in range(number):
        override(barred(shop))
    listed = at_risk(risks_of(open_bookings(shop, TODAY), TODAY), TODAY)
    with django_assert_num_queries(1):
        assert len(risk_groups(listed, (), TODAY).planned) == number
