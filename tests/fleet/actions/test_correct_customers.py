"""Customers put right, two entries made one, a name of one machine's booking put right."""

from datetime import timedelta

import pytest

from fleet.actions.correct_bookings import BookingCorrection, correct_booking
from fleet.actions.correct_customers import (
    CustomerCorrection,
    correct_customer,
    correct_hire,
    merge_customers,
)
from fleet.models import Booking, Customer, LoggedChange
from fleet.refusal import Refusal
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(hours=1)


def test_a_new_name_is_on_every_booking_and_the_old_one_in_the_log():
    booking = make.Booking(customer="Two Pins")
    customer = booking.hire.customer
    right = CustomerCorrection("Two Pines", phone="555 0101")
    correct_customer(customer, right, why="misheard", by=None, now=NOON)
    booking.refresh_from_db()
    assert booking.customer == "Two Pines"
    log = LoggedChange.objects.get()
    assert (log.reason, log.values[0]["old"]) == ("misheard", "Two Pins")


def test_a_name_that_another_has_makes_two_of_one_name():
    make.Customer(name="Two Pines")
    other = make.Customer(name="Old Mill")
    changed = correct_customer(other, CustomerCorrection("two pines"), why="", by=None, now=NOON)
    assert changed.twin == 1


def test_two_entries_become_one_and_twice_is_once():
    first, second = make.Booking(customer="Two Pines"), make.Booking(customer="2 Pines")
    keep, gone = first.hire.customer, second.hire.customer
    Customer.objects.filter(pk=gone.pk).update(phone="555 0101")
    for _ in range(2):
        merge_customers(keep, gone, why="same number", by=None, now=NOON)
    assert set(Booking.objects.values_list("customer", flat=True)) == {"Two Pines"}
    keep.refresh_from_db()
    assert (keep.phone, keep.hires.count()) == ("555 0101", 2)
    assert LoggedChange.objects.count() == 1


def test_an_entry_is_not_merged_with_itself_nor_with_one_that_is_gone():
    keep, gone = make.Customer(), make.Customer()
    with pytest.raises(Refusal, match="same entry"):
        merge_customers(keep, keep, why="", by=None, now=NOON)
    merge_customers(keep, gone, why="", by=None, now=NOON)
    with pytest.raises(Refusal, match="merged into another"):
        merge_customers(gone, keep, why="", by=None, now=NOON)


def corrected(booking, name):
    right = BookingCorrection(booking.machine, booking.first_day, booking.last_day, name)
    return correct_booking(booking, right, why="slip", by=None, now=NOON)


def test_a_slip_in_a_new_name_corrects_the_entry():
    booking = make.Booking(customer="Two Pins")
    corrected(booking, "Two Pines")
    assert [row.name for row in Customer.objects.all()] == ["Two Pines"]


def test_a_booking_for_the_wrong_customer_goes_to_the_right_one():
    right = make.Booking(customer="Two Pines").hire.customer
    make.Booking(customer="Old Mill")
    wrong = make.Booking(customer="Old Mill")
    assert corrected(wrong, "two pines").customer == "Two Pines"
    wrong.hire.refresh_from_db()
    assert wrong.hire.customer == right
    assert Customer.objects.count() == 2


def test_one_of_several_machines_goes_to_a_hire_of_its_own():
    first = make.Booking(customer="Two Pines")
    second = make.Booking(customer="Two Pines", hire=first.hire)
    moved = corrected(second, "Old Mill")
    assert moved.hire.customer.name == "Old Mill"
    first.refresh_from_db()
    assert first.hire.customer.name == "Two Pines"


def test_site_and_purpose_are_put_right_and_logged():
    hire = make.Hire(site="Mill")
    correct_hire(hire, {"site": "Creek", "purpose": "fence", "notes": ""}, by=None, now=LATER)
    hire.refresh_from_db()
    assert (hire.sought, LoggedChange.objects.get().values[0]["new"]) == ("creek fence", "Creek")
