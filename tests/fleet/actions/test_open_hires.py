"""Hires and their customers: opened with a booking, found again, many at once."""

from dataclasses import replace

import pytest

from fleet.actions.keep_times import give_times
from fleet.actions.make_bookings import NewBooking
from fleet.actions.open_hires import HireFacts, hires_for, open_hire
from fleet.models import Booking, Customer, Hire, LoggedChange
from fleet.refusal import Refusal
from tests import factories as make
from tests.booked import book
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


def opened(customer="Two Pines", **more):
    return open_hire(HireFacts(customer, **more), by=None, now=NOON)


@pytest.mark.parametrize("again", ["two pines", " TWO PINES", "Two-Pínes"])
def test_a_customer_is_found_as_typed(again):
    assert opened().customer == opened(again).customer
    assert Customer.objects.get().name == "Two Pines"


def test_somebody_else_of_the_same_name_is_another_customer():
    first, second = opened(phone="555 0101"), opened(phone="555 0202", another=True)
    assert first.customer != second.customer
    assert opened(phone="5550202").customer == second.customer
    assert opened().customer == first.customer


def test_a_number_given_later_is_kept_and_the_old_one_logged():
    opened()
    opened(phone="555 0101")
    assert not LoggedChange.objects.exists()  # it only filled what was empty
    opened(phone="555 0202")
    assert Customer.objects.get().phone_key == "5550202"
    assert LoggedChange.objects.get().values[0]["old"] == "555 0101"


def test_who_was_merged_leads_to_the_entry_that_stays():
    keep, gone = make.Customer(name="Two Pines"), make.Customer(name="2 Pines")
    Customer.objects.filter(pk=gone.pk).update(merged_into=keep)
    assert opened("2 pines").customer == keep


def test_a_ranch_job_has_no_customer():
    hire = opened("Fence north", in_house=True)
    assert (hire.customer, hire.who, hire.sought) == (None, "Fence north", "fencenorth")


def test_nobody_is_refused():
    with pytest.raises(Refusal, match="for whom"):
        opened("  ")


def test_a_booking_opens_a_hire_and_another_machine_joins_it():
    machine = make.Machine()
    new = NewBooking(machine, TODAY, TODAY, "Two Pines", who=HireFacts("Two Pines", site="Mill"))
    first = book(new, by=None, now=NOON)
    more = NewBooking(make.Machine(), TODAY, TODAY, "", hire=first.hire)
    second = book(more, by=None, now=NOON)
    assert (first.hire, second.customer) == (second.hire, "Two Pines")
    assert first.hire.site == "Mill"
    assert (
        book(replace(new, machine=make.Machine(), who=None), by=None, now=NOON).hire != first.hire
    )


def test_many_at_once_are_of_few_customers():
    known = make.Customer(name="Two Pines")
    rows = [
        Booking(
            machine=make.Machine(), first_day=TODAY, last_day=TODAY, customer=name, made_at=NOON
        )
        for name in ("two pines", "Old Mill", "OLD MILL")
    ]
    rows[0].hire = Hire(in_house=False, site="Creek", made_at=NOON)
    customers, hires = hires_for(rows)
    Customer.objects.bulk_create(customers)
    Hire.objects.bulk_create(hires)
    Booking.objects.bulk_create(map(give_times, rows))
    assert [row.name for row in customers] == ["Old Mill"]
    told = Booking.objects.order_by("pk").values_list("customer", "hire__customer", "hire__sought")
    mill = customers[0].pk
    assert list(told) == [
        ("Two Pines", known.pk, "creek"), ("Old Mill", mill, ""), ("Old Mill", mill, "")
    ]  # fmt: skip
