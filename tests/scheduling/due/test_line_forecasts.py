"""Both sides of a line joined, in days from the yard's today."""

import numpy as np
import pytest

from tests import factories as make
from tests.scheduling.cases import serviced, steady
from tests.scheduling.due.test_line_states import outcome_of

pytestmark = pytest.mark.django_db


def forecast(**interval):
    machine = make.Machine()
    steady(machine)
    service = make.Interval(makeup=machine.makeup, **interval).service
    serviced(machine, service, 30)
    return outcome_of(machine).forecasts


def test_what_a_reading_shows_is_certain():
    found = forecast(every=100, late=22)  # due at 320 h, late until 342 h, now 340 h
    assert found.first_days.tolist() == [[0, 0, 0]]
    assert found.chance_due.tolist() == [1]
    assert 0 < found.chance_overdue[0] < 1


def test_more_than_it_ever_runs_in_a_day_is_not_run_today():
    found = forecast(every=100, late=30)  # late until 350 h: ten hours from now
    assert found.chance_overdue[0] == 0
    assert found.remaining.tolist() == pytest.approx([-20])


def test_beyond_the_horizon_is_infinite_on_either_side():
    found = forecast(every=5000, every_months=36)
    assert np.isinf(found.first_days).all()
    assert found.calendar_day[0] > 120
    assert found.chance_due.tolist() == pytest.approx([0], abs=1e-6)


def test_calendar_alone_is_certain_to_the_day():
    found = forecast(meter_kind="", every=None, every_days=37, late_days=3)
    assert found.first_days.tolist() == [[7, 7, 7]]
    assert (found.chance_due[0], found.chance_overdue[0]) == (0, 0)
    assert np.isnan(found.life_now).all()


def test_past_the_calendars_window_is_overdue_for_certain():
    found = forecast(meter_kind="", every=None, every_days=20, late_days=3)
    assert (found.chance_due[0], found.chance_overdue[0]) == (1, 1)


def test_early_day_of_the_late_end_comes_after_that_of_the_due_point():
    found = forecast(every=150, late=60)
    assert found.closes_early[0] > found.meter_days[0, 0]
    assert (np.diff(found.meter_days[0]) >= 0).all()
