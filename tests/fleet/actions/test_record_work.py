"""The service book: written once, put right by new entries, parts off the shelf and back."""

from datetime import timedelta

import pytest
from django.db.models import Sum

from fleet.actions.correct_records import correct_record, strike_record
from fleet.actions.record_work import (
    WorkDone,
    outside,
    record_services,
)
from fleet.models import Finding, Limit, Person, Pin, ServiceRecord, StockMovement
from fleet.refusal import Refusal
from fleet.work_keys import service_key
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def record_service(work, **who):
    """Write one piece of work into the book."""
    (record,) = record_services([work], **who)
    return record


@pytest.fixture
def work():
    return WorkDone(
        factories.Machine(),
        factories.Service(),
        NOON,
        parts=[(factories.Part(), 2)],
        form_key="form-1",
    )


def on_hand() -> float:
    return StockMovement.objects.aggregate(Sum("quantity"))["quantity__sum"]


def test_the_same_form_twice_is_one_entry_and_takes_parts_once(work):
    first = record_service(work, by=None, now=NOON)
    assert record_service(work, by=None, now=NOON) == first
    assert on_hand() == -2


def test_the_meter_is_kept_with_the_entry():
    reading = factories.Reading(value=412.5)
    work = WorkDone(reading.meter.machine, factories.Service(), NOON, readings=[reading])
    assert record_service(work, by=None, now=NOON).meters.get().value == 412.5


def pinned(work, service, at):
    factories.Person(username="mara")
    return Pin.objects.create(
        machine=work.machine, work_key=service_key(work.machine.pk, service.pk),
        day=NOON.date() + timedelta(days=3), by=Person.objects.get(), at=at,
    )  # fmt: skip


def test_work_that_is_done_is_not_pinned_any_more(work):
    """Nor is what it covers, through as many services as it takes."""
    lowest, lower = factories.Service(), factories.Service()
    factories.cover(work.machine.makeup, lower, lowest)
    factories.cover(work.machine.makeup, work.service, lower)
    pin = pinned(work, lowest, NOON - timedelta(days=1))
    record_service(work, by=None, now=NOON)
    pin.refresh_from_db()
    assert pin.lifted_at == NOON


def test_a_pin_set_after_the_work_was_done_stands(work):
    pin = pinned(work, work.service, NOON + timedelta(hours=1))
    record_service(work, by=None, now=NOON + timedelta(hours=2))
    pin.refresh_from_db()
    assert pin.lifted_at is None


def test_work_in_the_future_is_refused(work):
    with pytest.raises(Refusal, match="future"):
        record_service(work, by=None, now=NOON - timedelta(hours=1))


def test_an_entry_put_right_stays_in_the_book_and_its_parts_go_back(work):
    person = factories.Person()
    wrong = record_service(work, by=person, now=NOON)
    right = WorkDone(work.machine, work.service, NOON, minutes=30)
    correct_record(wrong, right, by=person, now=NOON)
    assert ServiceRecord.objects.get(corrects=wrong).minutes == 30
    assert ServiceRecord.objects.filter(pk=wrong.pk).exists()
    assert on_hand() == 0


def test_an_entry_is_put_right_once(work):
    person = factories.Person()
    record = record_service(work, by=person, now=NOON)
    strike_record(record, why="wrong machine", by=person, now=NOON)
    with pytest.raises(Refusal, match="already put right"):
        strike_record(record, why="wrong machine", by=person, now=NOON)


@pytest.mark.parametrize(
    ("value", "word"), [(1.9, "below"), (2.0, ""), (5.0, ""), (8.0, ""), (8.1, "above")]
)
def test_a_value_is_outside_only_past_its_bounds(value, word):
    limit = Limit(name="pad", unit="mm", low=2, high=8)
    assert word in outside(limit, value)
    assert bool(outside(limit, value)) == bool(word)


def test_a_value_outside_its_limit_becomes_a_defect_that_calls_for_the_next_service(work):
    brakes = factories.Service(name="brake pads")
    limit = Limit.objects.create(service=work.service, name="pad", unit="mm", low=2, then=brakes)
    record_service(
        WorkDone(work.machine, work.service, NOON, measured=[(limit, 1.5)]), by=None, now=NOON
    )
    finding = Finding.objects.get()
    assert (finding.gravity, finding.calls_for) == (Finding.Gravity.DEFECT, brakes)
