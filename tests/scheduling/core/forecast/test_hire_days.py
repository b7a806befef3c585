import numpy as np
import pytest

from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.forecast.hire_days import HISTORY, Hires, hire_habits, hire_share, hire_weights
from scheduling.core.usage import Readings, Swaps, clean, use_intervals

TODAY = 1000.0


def every_other_week(m=30, on_hire=8.0, yard=0.4, booked_ahead=14):
    """Machines out for a week in two, read every day; hires known up to two weeks ahead."""
    day = np.arange(700, 1000)
    machine = np.repeat(np.arange(m), day.size)
    out = ((day[None, :] + np.arange(m)[:, None]) // 7) % 2 == 0
    life = np.cumsum(np.where(out, on_hire, yard), axis=1)
    readings = Readings(machine, np.tile(day + 1.0, m), life.ravel())
    seen = use_intervals(clean(readings, Swaps.none(), m, 24.0))
    ahead = np.arange(700, 1000 + booked_ahead)
    hired = ((ahead[None, :] + np.arange(m)[:, None]) // 7) % 2 == 0
    who, when = np.nonzero(hired)
    return Hires(who, ahead[when], ahead[when], np.ones(m, dtype=bool)), seen


def test_days_out_include_the_first_and_the_last():
    hires = Hires(np.array([0, 0]), np.array([3, 4]), np.array([4, 5]), np.ones(2, dtype=bool))
    assert hires.out(2, 5).tolist() == [[False, True, True, True, False], [False] * 5]


def test_a_booking_that_ends_before_it_begins_is_refused():
    with pytest.raises(ValueError, match="booking of machine 4 ends on day 7"):
        Hires(np.array([4]), np.array([8]), np.array([7]), np.ones(5, dtype=bool))


def test_habits_tell_share_on_hire_and_use_in_the_yard():
    hires, seen = every_other_week()
    habits = hire_habits(hires, seen, TODAY)
    assert habits.share == pytest.approx(0.5, abs=0.05)
    assert habits.yard_use == pytest.approx(0.05, abs=0.03)


def test_habits_tell_how_far_ahead_the_fleet_is_booked():
    hires, seen = every_other_week(booked_ahead=14)
    booked = hire_habits(hires, seen, TODAY).booked
    assert booked[5] > 0.8
    assert booked[30:].max() == 0.0


def test_a_booked_day_weighs_more_than_an_open_one_and_a_far_day_as_usual():
    hires, seen = every_other_week()
    habits = hire_habits(hires, seen, TODAY)
    weights = hire_weights(hires, habits, TODAY)
    coming = weights.weight[0, HISTORY:]
    out = hires.out(1000, HORIZON + 1)[0]
    assert coming[:14][out[:14]].min() > 1.5
    assert coming[:7][~out[:7]].max(initial=0.0) < 0.5
    assert coming[60:] == pytest.approx(1.0, abs=0.1)


def test_past_weights_are_one_on_average():
    hires, seen = every_other_week()
    past = hire_weights(hires, hire_habits(hires, seen, TODAY), TODAY).weight[:, :HISTORY]
    assert past.mean() == pytest.approx(1.0, abs=0.05)


def test_machines_whose_hires_are_not_kept_keep_calendar_days():
    hires, seen = every_other_week(m=4)
    partly = Hires(hires.machine, hires.first, hires.last, np.array([True, True, True, False]))
    weights = hire_weights(partly, hire_habits(partly, seen, TODAY), TODAY)
    assert (weights.weight[3] == 1).all()


def test_a_fleet_never_on_hire_has_no_weights():
    nobody = Hires(*(np.zeros(0, dtype=int),) * 3, np.ones(3, dtype=bool))
    seen = every_other_week(m=3)[1]
    assert hire_weights(nobody, hire_habits(nobody, seen, TODAY), TODAY) is None


def test_share_of_one_machine_is_drawn_to_the_fleets():
    hires, seen = every_other_week()
    idle = Hires(hires.machine, hires.first, hires.last, np.ones(31, dtype=bool))
    habits = hire_habits(hires, seen, TODAY)
    share = hire_share(idle, habits, TODAY)
    assert share[30] == pytest.approx(45 * habits.share / 135)
    assert share[0] == pytest.approx(0.5, abs=0.06)
