"""Meters fitted, swapped and rolled over."""

from datetime import timedelta

import pytest

from fleet.actions.fit_meters import Swap, roll_over, swap_meter
from fleet.models import Meter, Reading
from fleet.queries.meter_lives import life_bases
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

LATER = NOON + timedelta(days=7)


@pytest.fixture
def meter(db):
    meter = factories.Meter()
    factories.Reading(meter=meter, value=412.0)
    return meter


def test_a_swap_ends_one_meter_and_begins_the_next(meter):
    new = swap_meter(Swap(meter=meter, at=LATER, old_last=415.0, new_first=3.0), LATER)
    assert (meter.removed_at, meter.last_value) == (LATER, 415.0)
    assert (new.fitted_at, new.first_value, new.kind) == (LATER, 3.0, meter.kind)
    assert life_bases([meter, new])[new.pk] == 412.0  # 415 used so far, less the 3 it began with


def test_the_same_swap_twice_is_one(meter):
    swap = Swap(meter=meter, at=LATER, old_last=415.0)
    assert swap_meter(swap, LATER) == swap_meter(swap, LATER)
    assert Meter.objects.count() == 2


def test_another_swap_of_a_meter_that_is_off_is_refused(meter):
    swap_meter(Swap(meter=meter, at=LATER, old_last=415.0), LATER)
    with pytest.raises(Refusal, match="already swapped"):
        swap_meter(Swap(meter=meter, at=LATER, old_last=414.0), LATER)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"at": LATER + timedelta(days=1)}, "swapped_at"),  # ahead of time
        ({"at": NOON - timedelta(days=900)}, "swapped_at"),  # before it was fitted
        ({"old_last": 400.0}, "old_last"),  # it had shown more
        ({"new_first": -1.0}, "new_first"),  # no meter shows that
    ],
)
def test_a_swap_that_cannot_be_is_refused_at_its_field(meter, change, field):
    swap = Swap(**{"meter": meter, "at": LATER, "old_last": 415.0} | change)
    with pytest.raises(Refusal) as refused:
        swap_meter(swap, LATER)
    assert refused.value.field == field
    assert Meter.objects.count() == 1


def test_readings_after_a_swap_noted_late_go_to_the_new_meter(meter):
    """Nobody noted the swap; the reading of 14 h was taken as really so."""
    odd = factories.Reading(meter=meter, value=14.0, read_at=LATER, really_so=True)
    new = swap_meter(Swap(meter=meter, at=NOON + timedelta(days=5), old_last=412.0), LATER)
    moved = standing().get(meter=new)
    assert (moved.value, moved.read_at, moved.corrects) == (14.0, LATER, odd)
    assert Reading.objects.count() == 3
    assert standing().filter(meter=meter).count() == 1


def test_a_rollover_keeps_life_going(meter):
    new = roll_over(meter, LATER, 9_999.9, by=None, now=LATER)
    assert meter.ending == Meter.Ending.ROLLED_OVER
    assert life_bases([meter, new])[new.pk] == pytest.approx(9_999.9)
    assert roll_over(meter, LATER, 9_999.9, by=None, now=LATER) == new
