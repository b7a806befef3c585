import numpy as np
import pytest

from scheduling.core.usage import plausible_link, use_ceiling


@pytest.mark.parametrize(
    ("dx", "dt", "fits"),
    [
        (0.0, 0.0, True),  # read twice in one minute
        (10.0, 1.0, True),  # the ceiling itself
        (15.0, 1.0, True),  # with half a day's slack
        (15.1, 1.0, False),  # beyond it
        (-0.05, 1.0, True),  # two people rounding
        (-0.1, 1.0, False),  # backwards
        (np.nan, 1.0, False),  # no number
        (np.inf, 1.0, False),
    ],
)
def test_a_step_is_believed_up_to_the_ceiling_and_half_a_day(dx, dt, fits):
    assert plausible_link(dx, dt, 10.0) == fits


def test_without_a_ceiling_only_running_backwards_is_refused():
    assert plausible_link([1e9, 0.0, -0.01], 1.0, np.inf).tolist() == [True, True, False]


def test_ceiling_is_twice_the_busy_rate_of_the_fleet():
    day = np.arange(101.0)
    value = np.cumsum(np.concatenate([[0.0], np.linspace(1, 10, 100)]))
    ceiling = use_ceiling(np.zeros(101, dtype=int), day, value)
    assert ceiling == pytest.approx(2 * np.quantile(np.linspace(1, 10, 100), 0.97))


def test_ceiling_passes_over_readings_minutes_apart_and_backward_steps():
    machine = np.zeros(4, dtype=int)
    day = np.array([0.0, 0.001, 10.0, 11.0])
    assert use_ceiling(machine, day, np.array([0.0, 5.0, 25.0, 3.0])) == pytest.approx(
        4.0, rel=1e-3
    )


def test_ceiling_never_passes_what_the_meter_can_run():
    machine, day = np.zeros(2, dtype=int), np.array([0.0, 1.0])
    assert use_ceiling(machine, day, np.array([0.0, 20.0]), at_most=24.0) == 24.0
    assert use_ceiling(machine[:1], day[:1], np.array([1.0]), at_most=24.0) == 24.0
