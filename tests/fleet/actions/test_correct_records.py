"""Entries of the book put right: nothing of the wrong one is left, and it can still be seen."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db.models import Sum

from fleet.actions.correct_records import correct_record, strike_record, work_of
from fleet.actions.count_stock import count_shelf
from fleet.actions.record_work import WorkDone, record_services
from fleet.models import (
    Finding,
    Limit,
    LoggedChange,
    Pin,
    Reading,
    ServiceRecord,
    StockMovement,
)
from fleet.queries.standing_readings import standing
from fleet.queries.standing_records import standing_records
from fleet.refusal import Refusal
from fleet.work_keys import service_key
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

LATER = NOON + timedelta(hours=1)


@pytest.fixture
def case():
    """A job of two services on one visit at 120 h, and the person who wrote it."""
    by = factories.Mechanic()
    machine = factories.Machine(yard__shop=by.shop)
    meter = factories.Meter(machine=machine)
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=10))
    reading = factories.Reading(meter=meter, value=120.0, read_at=NOON)
    return by, WorkDone(machine, factories.Service(name="Oil"), NOON, by, 30, readings=[reading])


def written(work, by):
    (record,) = record_services([work], by=by, now=NOON)
    return record


def on_hand():
    return StockMovement.objects.aggregate(Sum("quantity"))["quantity__sum"]


def test_a_correction_keeps_the_cost_that_was_written(case):
    by, work = case
    record = written(replace(work, cost=Decimal("41.50")), by)
    right = correct_record(record, replace(work_of(record), minutes=45), by=by, now=LATER)
    assert (right.cost, right.minutes) == (Decimal("41.50"), 45)


def test_a_correction_says_who_why_and_each_value_before_and_after(case):
    by, work = case
    record = written(work, by)
    correct_record(record, replace(work_of(record), minutes=45), by=by, now=LATER, why="typed 30")
    row = LoggedChange.objects.get(kind="service record")
    assert row.values == [{"field": "minutes", "old": "30 min", "new": "45 min"}]
    assert (row.by, row.machine, row.reason) == (by, work.machine, "typed 30")


def test_a_new_value_of_the_meter_is_that_of_the_whole_visit(case):
    by, work = case
    other = replace(work, service=factories.Service(name="Grease"))
    first, _ = record_services([work, other], by=by, now=NOON)
    said = work_of(first)
    right = [Reading(meter=said.readings[0].meter, value=112.0)]
    correct_record(first, replace(said, readings=right), by=by, now=LATER)
    values = standing_records().values_list("meters__value", flat=True)
    assert list(values) == [112.0, 112.0]
    assert standing().get(read_at=NOON).value == 112.0


def test_a_second_value_out_of_limits_is_not_a_second_finding(case):
    by, work = case
    limit = Limit.objects.create(service=work.service, name="pad", unit="mm", low=3)
    record = written(replace(work, measured=[(limit, 2.0)]), by)
    right = correct_record(
        record, replace(work_of(record), measured=[(limit, 1.0)]), by=by, now=LATER
    )
    finding = Finding.objects.get()
    assert (finding.seen_during, finding.text) == (right, "pad: 1 mm, below the limit of 3 mm")


def test_a_value_that_was_within_its_limits_strikes_the_finding(case):
    by, work = case
    limit = Limit.objects.create(service=work.service, name="pad", unit="mm", low=3)
    record = written(replace(work, measured=[(limit, 2.0)]), by)
    correct_record(record, replace(work_of(record), measured=[(limit, 5.0)]), by=by, now=LATER)
    finding = Finding.objects.get()
    assert finding.struck
    assert finding.seen_during == record


def test_a_pin_that_the_wrong_service_lifted_stands_again_and_the_right_one_is_lifted(case):
    by, work = case
    right = factories.Service(name="Grease")
    pins = [
        Pin.objects.create(
            machine=work.machine, work_key=service_key(work.machine.pk, service.pk),
            day=NOON.date(), by=by, at=NOON - timedelta(days=1),
        )
        for service in (work.service, right)
    ]  # fmt: skip
    record = written(work, by)
    correct_record(record, replace(work_of(record), service=right), by=by, now=LATER)
    assert [Pin.objects.get(pk=pin.pk).lifted_at for pin in pins] == [None, LATER]


def test_a_struck_entry_opens_what_it_had_settled(case):
    by, work = case
    record = written(work, by)
    finding = factories.Finding(
        machine=work.machine, settled_at=NOON, settled_by=by, settled_during=record
    )
    strike_record(record, why="done to another machine", by=by, now=LATER)
    finding.refresh_from_db()
    assert finding.settled_at is None


def test_a_count_made_since_then_stands_when_an_entry_is_put_right(case):
    """Ten lay there; the entry took 2 where 1 was taken; five were counted afterwards."""
    by, work = case
    part = factories.Part()
    count_shelf(part, by.shop, 10, by=by, now=NOON - timedelta(days=1))
    record = written(replace(work, parts=[(part, 2)]), by)
    count_shelf(part, by.shop, 5, by=by, now=NOON + timedelta(minutes=5))
    right = replace(work_of(record), parts=[(part, 1)])
    strike_record(correct_record(record, right, by=by, now=LATER), why="no", by=by, now=LATER)
    assert on_hand() == 5


def test_what_a_struck_entry_took_goes_back_once(case):
    by, work = case
    part = factories.Part()
    record = written(replace(work, parts=[(part, 2)]), by)
    right = correct_record(record, replace(work_of(record), parts=[(part, 3)]), by=by, now=LATER)
    assert on_hand() == -3
    strike_record(right, why="not done", by=by, now=LATER)
    assert on_hand() == 0


def test_a_form_sent_twice_is_one_correction(case):
    by, work = case
    record = written(work, by)
    twice = replace(work_of(record), minutes=50, form_key="again")
    made = [correct_record(record, twice, by=by, now=LATER) for _ in range(2)]
    assert made[0] == made[1]
    assert ServiceRecord.objects.count() == 2


def test_the_old_entry_cannot_be_corrected_again(case):
    by, work = case
    record = written(work, by)
    strike_record(record, why="not done", by=by, now=LATER)
    with pytest.raises(Refusal, match="already put right"):
        correct_record(record, work_of(record), by=by, now=LATER)
