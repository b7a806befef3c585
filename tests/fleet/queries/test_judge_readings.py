"""The one function that judges a typed and an imported reading."""

from datetime import timedelta

import pytest

from fleet.queries.judge_readings import NewReading, look, look_alone, look_instead
from fleet.queries.meter_lives import Fittings
from fleet.queries.standing_readings import histories
from fleet.validation import ReadingReason
from tests import factories
from tests.factories import NOON

LATER = NOON + timedelta(days=2)


@pytest.fixture
def read(db):
    return factories.Reading(value=412.0, meter__machine__tag="Q-12")


def typed(reading, value, **more):
    kind = reading.meter.kind
    more = {"read_at": LATER, "kind": kind} | more
    return NewReading(machine=reading.meter.machine, value=value, **more)


@pytest.mark.parametrize("value", [420.0, 214.0, 4130.0, 412.0])
def test_alone_or_among_many_the_verdict_is_the_same(read, value):
    new = typed(read, value)
    many = [read.meter, factories.Meter()]
    fittings = Fittings.of([meter.machine_id for meter in many])
    known = histories(many, NOON - timedelta(days=9), LATER)
    assert look(new, fittings, known, LATER).verdict == look_alone(new, LATER).verdict


def test_a_correction_is_looked_at_without_what_it_corrects(read):
    new = typed(read, 300.0, read_at=NOON)
    assert look_alone(new, LATER).verdict.reason is ReadingReason.SAME_TIME
    assert look_instead(new, read, LATER).verdict.fine


def test_a_meter_taken_off_for_good_shows_nothing_more(read):
    meter = read.meter
    meter.removed_at, meter.last_value = NOON + timedelta(days=1), 415.0
    meter.save()
    verdict = look_alone(typed(read, 420.0), LATER).verdict
    assert verdict.reason is ReadingReason.NO_METER
    assert "no longer had an hour meter on Wed 4 Mar" in verdict.sentence


def test_a_machine_without_any_meter_says_so(db):
    new = NewReading(machine=factories.Machine(tag="B-1"), kind="hours", value=1.0, read_at=NOON)
    assert "it has no meter of any kind" in look_alone(new, LATER).verdict.sentence


def test_a_day_without_time_is_a_day_of_the_yard(db):
    machine = factories.Machine(yard__time_zone="America/Denver")
    new = NewReading(machine=machine, kind="hours", value=1.0, read_at=NOON, day_only=True)
    first, last = new.shown().span
    assert first.isoformat() == "2026-03-02T00:00:00-07:00"
    assert last - first < timedelta(days=1)
