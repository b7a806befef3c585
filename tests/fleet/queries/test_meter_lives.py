"""Which meter showed a reading, and life across swaps and rollovers; unsaved meters."""

from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.models import Meter
from fleet.queries.meter_lives import Fittings, life_bases, life_now
from tests import factories
from tests.factories import NOON

DAY = timedelta(days=1)


def meters(*rows, life=None):
    """Meters of one machine, a day apart: (first value, last value or None)."""
    return [
        Meter(
            pk=i, machine_id=1, kind="hours", fitted_at=NOON + i * DAY, first_value=first,
            last_value=last, removed_at=None if last is None else NOON + (i + 1) * DAY,
            life_at_fitting=life if i == 0 else None,
        )
        for i, (first, last) in enumerate(rows)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("rows", "life", "offsets"),
    [
        ([(0, None)], None, [0]),
        ([(50, None)], None, [0]),  # life before is not known: it counts from what it showed
        ([(50, None)], 800, [750]),  # a second-hand machine with 800 h on it
        ([(0, 412), (0, None)], None, [0, 412]),  # swapped at 412 h
        ([(0, 412), (3, None)], None, [0, 409]),  # by a used one
        ([(0, 9999), (0, 100), (5, None)], None, [0, 9999, 10094]),
        ([(0, None), (0, None)], None, [0, 0]),  # last value never noted: it adds nothing
    ],
)
def test_life_goes_on_across_meters(rows, life, offsets):
    assert list(life_bases(meters(*rows, life=life)).values()) == offsets


@given(st.lists(st.tuples(st.floats(0, 1e4), st.floats(0, 1e4)), min_size=1, max_size=6))
def test_life_never_jumps_at_a_swap(pairs):
    """At each swap the old meter's last value and the new one's first say the same life."""
    fitted = meters(*((first, first + used) for first, used in pairs))
    base = life_bases(reversed(fitted))
    for old, new in pairwise(fitted):
        assert old.last_value + base[old.pk] == pytest.approx(new.first_value + base[new.pk])


def test_kinds_and_machines_do_not_mix():
    first, second = meters((0, 412), (0, None))
    second.kind = "distance"
    assert life_bases([first, second]) == {0: 0, 1: 0}


def test_the_meter_of_a_moment(db):
    old = factories.Meter(fitted_at=NOON, removed_at=NOON + 5 * DAY, last_value=412)
    new = factories.Meter(machine=old.machine, fitted_at=NOON + 5 * DAY)
    fittings = Fittings.of([old.machine_id])

    def at(days):
        return fittings.at(old.machine_id, "hours", NOON + days * DAY)

    assert at(-1) is None
    assert at(0) == old
    assert at(4.9) == old
    assert at(5) == new  # at the moment of the swap, the new one
    assert life_now(old.machine, "hours", 10.0) == 422.0


def test_no_meter_after_one_was_taken_off_for_good(db):
    old = factories.Meter(fitted_at=NOON, removed_at=NOON + 5 * DAY, last_value=412)
    fittings = Fittings.of([old.machine_id])
    assert fittings.at(old.machine_id, "hours", NOON + 6 * DAY) is None
    assert life_now(old.machine, "hours", 10.0) is None
