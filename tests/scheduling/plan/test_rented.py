from datetime import timedelta

import pytest

from scheduling.plan.horizon import load_horizon
from scheduling.plan.rented import load_rented
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago

pytestmark = pytest.mark.django_db


def rented(shop, machine):
    return load_rented(shop, load_horizon(shop, NOW), NOW, {machine.pk})[machine.pk]


def booked(machine, first, last, **fields):
    days = {"first_day": TODAY + timedelta(days=first), "last_day": TODAY + timedelta(days=last)}
    return make.Booking(machine=machine, made_at=ago(99), **days, **fields)


def test_rate_of_the_machine_stands_before_that_of_its_class(shop, yard):
    makeup = make.MakeUp(machine_class__day_rate=80)
    assert rented(shop, make.Machine(yard=yard, makeup=makeup)).day_rate == 80
    assert rented(shop, make.Machine(yard=yard, makeup=makeup, day_rate=0)).day_rate == 0


def test_chance_of_rental_is_drawn_to_the_class(shop, yard):
    """45 of 90 days out; the class's other machine never: (45 + 10 x 0.25) / 100."""
    makeup = make.MakeUp()
    busy, idle = (make.Machine(yard=yard, makeup=makeup) for _ in range(2))
    booked(busy, -90, -46)
    assert rented(shop, busy).demand == pytest.approx(0.475)
    assert rented(shop, idle).demand == pytest.approx(0.025)


def test_booking_without_a_value_is_worth_its_days(shop, yard):
    machine = make.Machine(yard=yard, day_rate=50)
    booked(machine, 2, 4)
    booked(machine, 8, 9, value=999)
    booked(machine, 5, 6, cancelled_at=NOW)
    assert [(o.first, o.last, o.value) for o in rented(shop, machine).outs] == [
        (2, 4, 150),
        (8, 9, 999),
    ]


def test_machine_that_came_back_may_be_worked_on_that_day(shop, yard):
    machine = make.Machine(yard=yard)
    booking = booked(machine, -4, 3)
    booking.hand_overs.create(direction="out", at=ago(4))
    assert [(o.first, o.last) for o in rented(shop, machine).outs] == [(-4, 3)]
    booking.hand_overs.create(direction="back", at=NOW)
    assert rented(shop, machine).outs == ()


def test_visit_to_a_remote_yard_is_shorter(shop, yard):
    assert rented(shop, make.Machine(yard=yard)).visit == (0.5, 32)
    ranch = make.Yard(shop=shop, remote=True)
    found = rented(shop, make.Machine(yard=ranch))
    assert (found.visit, found.yard) == ((0.25, 10), ranch.pk)
