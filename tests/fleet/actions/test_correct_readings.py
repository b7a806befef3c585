"""Readings put right by new readings."""

from datetime import timedelta

import pytest

from fleet.actions.correct_readings import Correction, correct_reading, strike_reading
from fleet.models import Reading
from fleet.queries.judge_readings import ReadingRefused
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

LATER = NOON + timedelta(days=2)


@pytest.fixture
def read(db):
    """412.0 h on Monday."""
    meter = factories.Meter(machine__tag="Q-12")
    return factories.Reading(meter=meter, value=412.0)


def test_a_correction_stands_in_the_place_of_the_first(read):
    better = correct_reading(Correction(reading=read, value=410.0, by=factories.Person()), LATER)
    read.refresh_from_db()
    assert read.value == 412.0
    assert list(standing()) == [better]


def test_the_same_correction_twice_is_one_and_another_is_refused(read):
    first = correct_reading(Correction(reading=read, value=410.0), LATER)
    assert correct_reading(Correction(reading=read, value=410.0), LATER) == first
    with pytest.raises(Refusal, match="already put right"):
        correct_reading(Correction(reading=read, value=409.0), LATER)


def test_a_correction_is_judged_as_if_the_first_had_never_been(read):
    factories.Reading(meter=read.meter, value=400.0, read_at=NOON - timedelta(days=1))
    assert not correct_reading(Correction(reading=read, value=401.0), LATER).really_so


def test_an_odd_correction_must_be_sure(read):
    factories.Reading(meter=read.meter, value=400.0, read_at=NOON - timedelta(days=1))
    with pytest.raises(ReadingRefused, match="back"):
        correct_reading(Correction(reading=read, value=200.0), LATER)
    assert correct_reading(Correction(reading=read, value=200.0, sure=True), LATER).really_so


def test_a_reading_struck_out_stands_no_more(read):
    by = factories.Person()
    with pytest.raises(Refusal, match="why"):
        strike_reading(read, why=" ", by=by, now=LATER)
    strike_reading(read, why="read on the wrong machine", by=by, now=LATER)
    assert not standing().exists()
    assert Reading.objects.count() == 2


def test_a_correction_cannot_be_ahead_of_time(read):
    ahead = Correction(reading=read, value=412.0, read_at=LATER + timedelta(days=1), sure=True)
    with pytest.raises(ReadingRefused, match="is in the future"):
        correct_reading(ahead, LATER)
