"""Swaps put right and undone: the machine's life is as if the right one had been typed at once."""

from datetime import timedelta

import pytest

from fleet.actions.correct_meters import SwapCorrection, correct_swap, undo_swap
from fleet.actions.fit_meters import Swap, roll_over, swap_meter
from fleet.models import LoggedChange, Meter
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

LATER = NOON + timedelta(days=1)


@pytest.fixture
def by():
    return factories.Mechanic()


@pytest.fixture
def meter():
    """100 h ten days ago, 12 h two days ago: it was swapped in between."""
    meter = factories.Meter(machine__tag="Q-1")
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=10))
    return meter


@pytest.fixture
def swapped(meter, by):
    """Typed as swapped at 300 to 0, five days ago; read at 12 h three days later."""
    at = NOON - timedelta(days=5)
    new = swap_meter(Swap(meter=meter, at=at, old_last=300.0, by=by), NOON)
    factories.Reading(meter=new, value=12.0, read_at=NOON - timedelta(days=2))
    factories.ServiceRecord(machine=meter.machine, done_at=NOON - timedelta(days=2)).meters.create(
        meter=new, value=12.0
    )
    return new


def test_an_undone_swap_leaves_one_meter_with_all_its_readings(meter, swapped, by):
    undo_swap(swapped, why="it was another machine", by=by, now=LATER)
    assert list(meter.machine.meters.all()) == [meter]
    meter.refresh_from_db()
    assert (meter.removed_at, meter.last_value, meter.ending) == (None, None, "")
    assert [(one.meter, one.value) for one in standing()] == [(meter, 100.0), (meter, 12.0)]
    assert meter.machine.records.get().meters.get().meter == meter


def test_a_corrected_rollover_begins_anew_where_it_really_does(meter, by):
    """Typed as rolled over at 9,999 five days ago; the meter counts to 99,999, six days ago."""
    new = roll_over(meter, NOON - timedelta(days=5), 9999.0, by=by, now=NOON)
    factories.Reading(meter=new, value=12.0, read_at=NOON - timedelta(days=2))
    at = NOON - timedelta(days=6)
    again = correct_swap(new, SwapCorrection(at, 99_999.0), why="five digits", by=by, now=LATER)
    meter.refresh_from_db()
    assert (meter.removed_at, meter.last_value, meter.ending) == (at, 99_999.0, "rolled")
    assert (again.fitted_at, again.first_value) == (at, 0.0)
    assert standing().get(value=12.0).meter == again
    row = LoggedChange.objects.get(act="rollover corrected")
    assert {
        "field": "the old one last showed",
        "old": "9,999.0 h",
        "new": "99,999.0 h",
    } in row.values


def test_it_stays_on_record_and_is_undone_once(swapped, by):
    for _ in range(2):
        undo_swap(swapped, why="no", by=by, now=LATER)
    struck = Meter.every.get(pk=swapped.pk)
    assert (struck.struck_at, struck.struck_by, struck.struck_why) == (LATER, by, "no")
    assert LoggedChange.objects.count() == 1


def test_a_corrected_swap_has_the_right_values_and_the_readings_since_then(meter, swapped, by):
    at = NOON - timedelta(days=6)
    new = correct_swap(swapped, SwapCorrection(at, 130.0, 2.0), why="slip", by=by, now=LATER)
    meter.refresh_from_db()
    assert (meter.removed_at, meter.last_value) == (at, 130.0)
    assert (new.fitted_at, new.first_value) == (at, 2.0)
    assert standing().get(value=12.0).meter == new
    assert meter.machine.records.get().meters.get().meter == new
    row = LoggedChange.objects.get(act="swap corrected")
    assert {"field": "the old one last showed", "old": "300.0 h", "new": "130.0 h"} in row.values


def test_a_swap_that_cannot_be_leaves_the_wrong_one_standing(meter, swapped, by):
    with pytest.raises(Refusal, match="cannot have ended"):
        correct_swap(
            swapped, SwapCorrection(NOON - timedelta(days=6), 50.0, 0.0), why="", by=by, now=LATER
        )
    assert Meter.objects.filter(pk=swapped.pk, removed_at=None).exists()


def test_the_first_meter_and_one_that_was_swapped_since_are_not_undone(meter, swapped, by):
    with pytest.raises(Refusal, match="first meter"):
        undo_swap(meter, why="no", by=by, now=LATER)
    swap_meter(Swap(meter=swapped, at=NOON, old_last=20.0, by=by), NOON)
    with pytest.raises(Refusal, match="undo that swap first"):
        undo_swap(swapped, why="no", by=by, now=LATER)


def test_a_service_noted_after_a_swap_that_is_told_late_is_of_the_new_meter(meter, by):
    record = factories.ServiceRecord(machine=meter.machine, done_at=NOON)
    record.meters.create(meter=meter, value=12.0)
    new = swap_meter(Swap(meter=meter, at=NOON - timedelta(days=5), old_last=300.0, by=by), LATER)
    assert record.meters.get().meter == new
