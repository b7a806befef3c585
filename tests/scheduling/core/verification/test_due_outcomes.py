"""Truths of due points, worked by hand.  Today is day 0; the meter runs 4 h a day from day -140."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.core.usage import Readings, Swaps, clean
from scheduling.core.verification.due_outcomes import MOST_GAP, PATIENCE, DueOutcome, settle
from tests.scheduling.core.verification.lines import lines, weekly

GAP_DAY = MOST_GAP + 5


def one(cleaned, due_life, asked, machine=0):
    found = settle(cleaned, np.array([machine]), np.array([float(due_life)]),
                   np.array([float(asked)]), 0.0)  # fmt: skip
    return DueOutcome(int(found.outcome[0])), int(found.truth[0]), float(found.known_on[0])


def test_the_day_is_read_off_between_two_readings():
    # 4 h a day: life 200 on day -90, between the readings of days -91 and -84
    assert one(lines(weekly()), 202.0, -100) == (DueOutcome.REACHED, 10, -84)


def test_a_due_point_that_was_behind_already_is_due_on_the_day_asked():
    assert one(lines(weekly()), 202.0, -80) == (DueOutcome.REACHED, 0, -80)


def test_what_is_not_reached_yet_stays_open():
    outcome, truth, known_on = one(lines(weekly()), 5000.0, -60)
    assert (outcome, truth) == (DueOutcome.OPEN, -1)
    assert np.isnan(known_on)


def test_after_120_days_it_lies_beyond():
    # the first reading past the end of day 120 is that of day -14
    assert one(lines(weekly()), 5000.0, -140) == (DueOutcome.BEYOND, 120, -14)


def test_reached_after_120_days_is_beyond_too():
    assert one(lines(weekly(start=-280)), 1100.0, -280) == (DueOutcome.BEYOND, 120, -154)


def test_a_long_gap_around_the_day_tells_nothing():
    shown = [(-140, 100.0), (-133, 128.0), (-133 + GAP_DAY, 128 + 4 * GAP_DAY), (0, 660.0)]
    assert one(lines(shown), 150.0, -138)[0] == DueOutcome.GAP


def test_a_swap_without_record_on_the_way_tells_nothing():
    shown = [*weekly(start=-140, end=-70), *[(d, 3 + 4 * (d + 63)) for d in range(-63, 1, 7)]]
    assert one(lines(shown), 320.0, -130)[0] == DueOutcome.GAP
    assert one(lines(shown), 320.0, -60)[0] != DueOutcome.OPEN


def test_a_swap_before_the_day_asked_does_no_harm():
    shown = [*weekly(start=-140, end=-70), *[(d, 3 + 4 * (d + 63)) for d in range(-63, 1, 7)]]
    cleaned = lines(shown)
    at = cleaned.points_life[np.flatnonzero(cleaned.day == -56)[0]]
    assert one(cleaned, at + 10, -56)[:2] == (DueOutcome.REACHED, 2)


def test_a_recorded_swap_is_passed_over():
    swap = Swaps(np.array([0]), np.array([-66.5]), np.array([396.0]), np.array([0.0]))
    shown = [*weekly(start=-140, end=-70), *[(d, 14 + 4 * (d + 63)) for d in range(-63, 1, 7)]]
    outcome, truth, _ = one(lines(shown, swaps=swap), 330.0, -130)
    assert outcome == DueOutcome.REACHED
    assert truth == pytest.approx(72, abs=2)


def test_what_is_never_read_is_given_up_in_the_end():
    shown = lines(weekly(start=-400, end=-300))
    assert one(shown, 5000.0, -PATIENCE)[0] == DueOutcome.OPEN
    assert one(shown, 5000.0, -PATIENCE - 1) == (DueOutcome.UNREAD, -1, -1)


def test_machines_without_any_reading_stay_open():
    nothing = clean(Readings.none(), Swaps.none(), 2, 24.0)
    assert one(nothing, 10.0, -20, machine=1)[0] == DueOutcome.OPEN


def test_many_are_settled_at_once():
    cleaned = lines(weekly(rate=4), weekly(rate=2), weekly(rate=8))
    machine = np.array([2, 0, 1, 2])
    found = settle(cleaned, machine, np.full(4, 202.0), np.full(4, -140.0), 0.0)
    assert found.truth.tolist() == [25, 50, 101, 25]


@given(
    rate=st.floats(0.2, 12), due=st.floats(101, 900), asked=st.integers(-130, -1),
    shift=st.integers(-50, 50),
)  # fmt: skip
def test_shifting_all_days_shifts_nothing_else(rate, due, asked, shift):
    here = one(lines(weekly(rate)), due, asked)
    moved = [(day + shift, value) for day, value in weekly(rate)]
    found = settle(lines(moved), np.array([0]), np.array([due]),
                   np.array([float(asked + shift)]), float(shift))  # fmt: skip
    assert (found.outcome[0], found.truth[0]) == here[:2]


@given(rate=st.floats(0.2, 12), low=st.floats(101, 700), step=st.floats(0, 300))
def test_a_later_due_point_never_comes_sooner(rate, low, step):
    found = settle(lines(weekly(rate)), np.array([0, 0]), np.array([low, low + step]),
                   np.array([-140.0, -140.0]), 0.0)  # fmt: skip
    known = found.truth >= 0
    if known.all():
        assert found.truth[0] <= found.truth[1]
