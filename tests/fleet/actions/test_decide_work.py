"""Decisions are facts: one at a time, with who, when and why."""

from datetime import date

import pytest

from fleet.actions.decide_work import (
    PinPlace,
    Span,
    estimate,
    lift_pin,
    lift_served,
    override_block,
    pin,
    publish,
    put_off,
    take_back_override,
)
from fleet.models import LoggedChange, Override, Pin, PutOff, Release, WorkEstimate
from fleet.refusal import Refusal
from fleet.work_keys import service_key
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db
TUESDAY, WEDNESDAY = date(2026, 3, 3), date(2026, 3, 4)


def test_an_override_wants_a_reason_and_is_kept_once():
    booking, person = factories.Booking(), factories.Person()
    with pytest.raises(Refusal, match="why it goes out"):
        override_block(booking, against="oil overdue", reason="", by=person, now=NOON)
    for _ in range(2):
        override_block(booking, against="oil overdue", reason="short hire", by=person, now=NOON)
    assert Override.objects.get().by == person


def test_a_second_pin_lifts_the_first_and_both_stay_on_record():
    machine, person = factories.Machine(), factories.Person()
    for day in (TUESDAY, TUESDAY, WEDNESDAY):
        pin(machine, "m:41:7", PinPlace(day), by=person, now=NOON)
    assert Pin.objects.get(lifted_at=None).day == WEDNESDAY
    assert Pin.objects.count() == 2


def test_a_lifted_pin_names_who_lifted_it():
    machine, person = factories.Machine(), factories.Person()
    pin(machine, "m:41:7", PinPlace(TUESDAY), by=person, now=NOON)
    lift_pin("m:41:7", by=person, now=NOON)
    assert Pin.objects.get().lifted_by == person


def test_one_estimate_of_a_piece_of_work_counts_and_those_before_it_stay_on_record():
    machine, person = factories.Machine(), factories.Person()
    for minutes in (90, 90, 200):
        estimate(machine, "m:41:7", minutes, reason="rusted", by=person, now=NOON)
    assert WorkEstimate.objects.get(lifted_at=None).minutes == 200
    assert WorkEstimate.objects.count() == 2


@pytest.mark.parametrize("minutes", [0, -5, 6001])
def test_an_estimate_that_cannot_be_is_refused(minutes):
    with pytest.raises(Refusal, match="up to 100 hours"):
        estimate(factories.Machine(), "k", minutes, reason="", by=factories.Person(), now=NOON)


def test_an_estimate_is_of_this_time_alone():
    record = factories.ServiceRecord()
    key = service_key(record.machine.pk, record.service.pk)
    person = factories.Person()
    estimate(record.machine, key, 200, reason="", by=person, now=NOON)
    lift_served([record], by=person, now=NOON)
    assert WorkEstimate.objects.get().lifted_by == person


def test_putting_off_lifts_the_pin_of_that_day_and_twice_is_once():
    machine, person = factories.Machine(), factories.Person()
    pin(machine, "m:41:7", PinPlace(TUESDAY), by=person, now=NOON)
    for _ in range(2):
        put_off(machine, "m:41:7", TUESDAY, reason="no filter", by=person, now=NOON)
    assert PutOff.objects.count() == 1
    assert not Pin.objects.filter(lifted_at=None).exists()


def test_putting_off_wants_a_reason():
    with pytest.raises(Refusal, match="why it is put off"):
        put_off(factories.Machine(), "m:41:7", TUESDAY, reason=" ", by=factories.Person(), now=NOON)


def test_publishing_the_same_plan_again_adds_nothing():
    shop, span = factories.Shop(), Span(TUESDAY, WEDNESDAY)
    jobs = [{"work_key": "m:41:7", "day": "2026-03-03", "mechanic": "jo"}]
    publish(shop, span, jobs, by=None, now=NOON)
    publish(shop, span, jobs, by=None, now=NOON)
    assert Release.objects.count() == 1
    publish(shop, span, [], by=None, now=NOON)
    assert Release.objects.count() == 2


@pytest.fixture
def booking():
    return factories.Booking()


@pytest.fixture
def person():
    return factories.Person()


def decided(booking, person):
    return override_block(booking, against="oil overdue", reason="short hire", by=person, now=NOON)


def test_a_decision_is_taken_back_with_name_and_reason_and_can_be_taken_anew(booking, person):
    row = decided(booking, person)
    for _ in range(2):  # twice is once
        take_back_override(row, why="the oil can be done", by=person, now=NOON)
    row.refresh_from_db()
    assert row.struck
    change = LoggedChange.objects.get(act="taken back")
    assert (change.by, change.reason, change.at) == (person, "the oil can be done", NOON)
    assert decided(booking, person) != row


def test_what_has_gone_out_is_not_taken_back_so_and_a_reason_is_wanted(booking, person):
    row = decided(booking, person)
    with pytest.raises(Refusal, match="why it is taken back"):
        take_back_override(row, why=" ", by=person, now=NOON)
    booking.hand_overs.create(direction="out", at=NOON)
    with pytest.raises(Refusal, match="handed over since"):
        take_back_override(row, why="no", by=person, now=NOON)
