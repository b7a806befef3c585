from datetime import date, timedelta

import pytest

from fleet.models import Storage
from scheduling.facts.booked_days import load_calls, load_holds, load_promises, load_storage
from scheduling.facts.machine_arrays import load_machines
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import day_number
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return make.Machine()


def load(function, machine, *more):
    scope = Scope(machine.yard.shop_id)
    return function(load_machines(scope, NOW), scope, *more)


def test_booking_ends_on_the_day_on_which_it_really_came_back(machine):
    booking = make.Booking(machine=machine, first_day=ago(9).date(), last_day=TODAY)
    booking.hand_overs.create(direction="out", at=ago(9))
    booking.hand_overs.create(direction="back", at=ago(4))
    (found,) = load(load_promises, machine, NOW)
    assert (found.first, found.last, found.back) == (ago(9).date(), ago(4).date(), True)


def test_machine_that_is_late_is_still_out(machine):
    booking = make.Booking(machine=machine, first_day=ago(9).date(), last_day=ago(3).date())
    booking.hand_overs.create(direction="out", at=ago(9))
    (found,) = load(load_promises, machine, NOW)
    assert (found.last, found.out, found.back) == (TODAY, True, False)


@pytest.mark.parametrize(
    "fields",
    [
        {"cancelled_at": NOW},
        {"first_day": TODAY - timedelta(days=300), "last_day": TODAY - timedelta(days=290)},
        {"made_at": NOW + timedelta(days=1)},  # not known yet
    ],
)
def test_bookings_that_do_not_count(machine, fields):
    make.Booking(machine=machine, **fields)
    assert load(load_promises, machine, NOW) == []


def test_storage_in_day_numbers(machine):
    Storage.objects.create(machine=machine, first_day=date(1970, 1, 3))
    Storage.objects.create(machine=machine, first_day=TODAY, last_day=TODAY)
    today = day_number(TODAY)
    assert load(load_storage, machine) == [(0, 2, None), (0, today, today)]


def test_holds_that_stand(machine):
    by = make.Person(first_name="Ada", last_name="Brook")
    make.Hold(machine=machine, placed_at=ago(2), placed_by=by)
    make.Hold(machine=machine, placed_at=ago(2), released_at=ago(1))
    (found,) = load(load_holds, machine, NOW)
    assert (found.by, found.since) == ("Ada Brook", ago(2).date())


def test_findings_that_call_for_a_service(machine):
    service = make.Service()
    make.Finding(machine=machine, seen_at=ago(1), calls_for=service, text="squeals")
    make.Finding(machine=machine, seen_at=ago(1))
    make.Finding(machine=machine, seen_at=ago(1), calls_for=service, settled_at=ago(0.5))
    (found,) = load(load_calls, machine, NOW)
    assert (found.service, found.text) == (service.pk, "squeals")
    assert found.seen == pytest.approx(day_number(ago(1).date()) + 0.5)


def test_shop_without_machines():
    machine = make.Machine(retired_on=date(2020, 1, 1))
    assert load(load_promises, machine, NOW) == []
