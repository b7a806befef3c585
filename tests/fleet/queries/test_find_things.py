"""One box for all: what is found of a name, a number, a tag or a site."""

from datetime import timedelta

import pytest

from fleet.models import Role
from fleet.queries.find_things import find_things
from tests import factories as make
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    return make.Person(role=Role.DESK)


@pytest.fixture
def booking(desk):
    machine = make.Machine(tag="MX-02", yard__shop=desk.shop)
    customer = make.Customer(name="Zoë Ågren", phone="(406) 555-0142", mail="zoe@example.org")
    hire = make.Hire(customer=customer, site="North Mill")
    return make.Booking(machine=machine, hire=hire, customer=customer.name)


@pytest.mark.parametrize(
    "text",
    ["zoe agren", "AGREN", "0142", "4065550142", "zoe@example", "north mill", "mx-02", "MX 02"],
)
def test_a_booking_is_found_by_whatever_is_known_of_it(desk, booking, text):
    assert [row.pk for row in find_things(desk, text, TODAY).coming] == [booking.pk]


def test_it_is_found_by_its_number_and_a_former_name(desk, booking):
    old = make.Customer(name="Z. Berg")
    old.merged_into = booking.hire.customer
    old.save()
    for text in (str(booking.hire_id), f"# {booking.hire_id}", "z berg"):
        assert booking in find_things(desk, text, TODAY).coming


@pytest.fixture
def numbered(desk, booking):
    """A booking whose own number is not that of what was booked with it."""
    make.Hire(customer=booking.hire.customer)
    day = booking.last_day + timedelta(days=20)
    hire = make.Hire(customer=make.Customer(name="Far"), site="Ridge")
    return make.Booking(machine=booking.machine, hire=hire, first_day=day, last_day=day)


@pytest.mark.parametrize(
    "text",
    ["{0}", "#{0}", "# {0}", "booking {0}", "Booking #{0}", "no. {0}", "Booking no. {0}",
     "/counter/{1}/{0}/", "http://yard.example/counter/{1}/{0}/out/?x=1"],
)  # fmt: skip
def test_it_is_found_by_each_of_its_numbers_however_written(desk, numbered, text):
    assert numbered.pk != numbered.hire_id
    for number, place in ((numbered.hire_id, "hires"), (numbered.pk, "bookings")):
        found = find_things(desk, text.format(number, place), TODAY)
        assert numbered in found.coming
        assert found.number == number


def test_an_address_leads_to_what_it_is_the_address_of_alone(desk, booking, numbered):
    assert find_things(desk, f"/counter/bookings/{booking.pk}/", TODAY).coming == [booking]


def test_the_one_that_has_the_number_comes_first(desk, booking, numbered):
    booking.hire.site = f"Mill {numbered.hire_id}"
    booking.hire.save()
    found = find_things(desk, str(numbered.hire_id), TODAY)
    assert found.coming == [numbered, booking]


def test_past_ones_stand_apart_the_latest_first(desk, booking):
    days = [TODAY - timedelta(days=n) for n in (30, 10, 20)]
    for day in days:
        make.Booking(machine=booking.machine, hire=booking.hire, first_day=day, last_day=day)
    found = find_things(desk, "zoe", TODAY)
    assert [row.last_day for row in found.past] == sorted(days, reverse=True)
    assert found.coming == [booking]


def test_what_is_of_another_shop_is_not_shown(booking):
    other = make.Person(role=Role.DESK)
    found = find_things(other, "MX-02", TODAY)
    assert (found.machines, found.coming) == ([], [])
    assert find_things(other, "zoe", TODAY).customers  # a customer goes to any desk


@pytest.mark.parametrize(
    "text", ["", "  ", "\x00", "nobody", "%", "9" * 30, "²²²", "'; --", "x" * 500]
)
def test_what_is_not_there_is_not_found(desk, booking, text):
    assert not find_things(desk, text, TODAY).any


def test_the_queries_do_not_grow(desk, booking, django_assert_max_num_queries):
    for number in range(25):
        day = booking.last_day + timedelta(days=number + 1)
        make.Booking(machine=booking.machine, hire=booking.hire, first_day=day, last_day=day)
    with django_assert_max_num_queries(7):
        found = find_things(desk, "zoe", TODAY)
    assert "coming" in found.more
