"""A machine is retired with a reason, and brought back with one."""

from datetime import date, timedelta

import pytest

from fleet.actions.decide_work import PinPlace, pin
from fleet.actions.retire_machines import bring_back, retire_machine
from fleet.models import HandOver, LoggedChange, Pin
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON, TODAY, key_of

pytestmark = pytest.mark.django_db


def retired(machine, day=TODAY, reason="sold"):
    return retire_machine(machine, day, reason=reason, by=factories.Person(), now=NOON)


def test_it_is_retired_once_with_reason_and_log():
    machine = factories.Machine()
    retired(retired(machine), reason="scrapped")
    assert (machine.retired_on, machine.retired_why) == (TODAY, "sold")
    logged = LoggedChange.objects.get()
    assert (logged.act, logged.reason) == ("retired", "sold")
    assert {"field": "retired on", "old": "", "new": "2026-03-02"} in logged.values


def test_it_works_again_with_a_reason_and_both_stay_in_the_log():
    machine = retired(factories.Machine())
    bring_back(machine, reason="not sold after all", by=factories.Person(), now=NOON)
    assert (machine.retired_on, machine.retired_why) == (None, "")
    acts = LoggedChange.objects.order_by("pk").values_list("act", flat=True)
    assert list(acts) == ["retired", "brought back"]


def test_pins_of_its_work_are_lifted():
    machine, service = factories.Machine(), factories.Service(code="oil")
    manager = factories.Person()
    pin(machine, key_of(machine, service.code), PinPlace(TODAY), by=manager, now=NOON)
    retired(machine)
    assert not Pin.objects.filter(lifted_at=None).exists()


@pytest.mark.parametrize(
    ("day", "reason", "said"),
    [
        (TODAY, " ", "why it is retired"),
        (TODAY + timedelta(days=1), "sold", "still to come"),
        (date(2024, 1, 1), "sold", "only began work"),
    ],
)
def test_what_cannot_be_is_refused(day, reason, said):
    machine = factories.Machine(started_on=date(2025, 1, 1))
    with pytest.raises(Refusal, match=said):
        retired(machine, day, reason)


def test_one_that_is_out_comes_back_first():
    booking = factories.Booking(first_day=TODAY - timedelta(days=1))
    HandOver.objects.create(booking=booking, direction="out", at=NOON)
    with pytest.raises(Refusal, match="is out with Alder Creek"):
        retired(booking.machine)
