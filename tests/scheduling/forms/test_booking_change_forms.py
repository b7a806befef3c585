"""Forms of bookings that are tried, and of machines that stay out."""

from datetime import timedelta

import pytest

from fleet.models import HandOver
from scheduling.forms.booking_change_forms import BackLateForm, BookedForm
from scheduling.trial.changes import BackLate, Booked
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY, LATER = TODAY + timedelta(days=2), TODAY + timedelta(days=5)
DAYS = {"first": DAY.isoformat(), "last": LATER.isoformat(), "customer": "Two Pines"}


@pytest.fixture
def machine():
    machine = factories.Machine(tag="Q-1")
    consequences.MachineState(machine=machine)
    return machine


@pytest.fixture
def shop(machine):
    return machine.yard.shop


def fault(form, field):
    assert not form.is_valid()
    return form.errors[field][0]


def change(form):
    assert form.is_valid(), form.errors
    return form.change()


@pytest.mark.parametrize("asked", ["tag", "class"])
def test_a_booking_of_a_machine_or_of_whichever_may_go_out(machine, shop, asked):
    which = {"tag": "q-1"} if asked == "tag" else {"machine_class": machine.makeup.machine_class_id}
    form = BookedForm(shop, TODAY, DAYS | which | {"value": "480.50"})
    assert change(form) == Booked(machine.pk, "Q-1", DAY, LATER, "Two Pines", 480.5)


@pytest.mark.parametrize(
    ("given", "field", "sentence"),
    [
        ({}, "tag", "which machine, or which class"),
        ({"tag": "Q-9"}, "tag", "No machine “Q-9” stands in the yards"),
        ({"tag": "Q-1", "customer": ""}, "customer", "for whom"),
        ({"tag": "Q-1", "first": "2026-01-01"}, "first", "gone by"),
        ({"tag": "Q-1", "value": "-1"}, "value", "below zero"),
        ({"tag": "Q-1", "value": "much"}, "value", "in digits"),
        ({"machine_class": "999"}, "machine_class", "no such class"),
    ],
)
def test_a_bad_booking_gets_a_sentence(shop, given, field, sentence):
    assert sentence in fault(BookedForm(shop, TODAY, DAYS | given), field)


@pytest.mark.parametrize("asked", ["tag", "class"])
def test_a_machine_that_is_promised_cannot_be_booked_again(machine, shop, asked):
    factories.Booking(machine=machine, first_day=DAY, last_day=DAY, customer="Old Mill")
    which = {"tag": "Q-1"} if asked == "tag" else {"machine_class": machine.makeup.machine_class_id}
    field = "tag" if asked == "tag" else "machine_class"
    said = fault(BookedForm(shop, TODAY, DAYS | which), field)
    assert "Old Mill" in said or "None of this class" in said


@pytest.fixture
def out(machine):
    booking = factories.Booking(machine=machine, first_day=TODAY, last_day=DAY)
    HandOver.objects.create(booking=booking, direction=HandOver.Direction.OUT, at=NOON)
    return booking


def test_a_machine_that_comes_back_late(machine, shop, out):
    form = BackLateForm(shop, TODAY, {"booking": out.pk, "day": LATER.isoformat()})
    assert change(form) == BackLate(out.pk, machine.pk, "Q-1", LATER)


def test_a_machine_that_is_back_or_never_went_is_not_out(shop, out):
    HandOver.objects.create(booking=out, direction=HandOver.Direction.BACK, at=NOON)
    form = BackLateForm(shop, TODAY, {"booking": out.pk, "day": LATER.isoformat()})
    assert "is not out" in fault(form, "booking")


def test_a_day_that_is_not_late_or_is_promised_gets_a_sentence(machine, shop, out):
    early = BackLateForm(shop, TODAY, {"booking": out.pk, "day": DAY.isoformat()})
    assert "until Wed 4 Mar anyway" in fault(early, "day")
    factories.Booking(machine=machine, first_day=LATER, last_day=LATER, customer="Old Mill")
    late = BackLateForm(shop, TODAY, {"booking": out.pk, "day": LATER.isoformat()})
    assert "booked for Old Mill" in fault(late, "day")
