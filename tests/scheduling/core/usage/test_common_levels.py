import numpy as np
import pytest

from scheduling.core.usage import BLOCK, UseIntervals, common_levels

WEEKS = 40
WAVE = 0.8 * np.sin(2 * np.pi * 7.0 * np.arange(WEEKS) / 365.25)


def fleet(log_level, m=20, variation=0.25, keep=None, seed=3):
    """Machines read weekly, each at its own pace, times a common level of each week."""
    rng = np.random.default_rng(seed)
    pace = rng.uniform(1, 8, (m, 1))
    chance = rng.gamma(1 / variation**2, variation**2, (m, WEEKS)) if variation else 1.0
    use = (7 * pace * np.exp(log_level) * np.broadcast_to(chance, (m, WEEKS))).ravel()
    start = np.tile(7.0 * np.arange(WEEKS), m)
    seen = UseIntervals(
        np.repeat(np.arange(m), WEEKS), start, start + 7, np.full(m * WEEKS, 7.0), use, m
    )
    return seen if keep is None else seen.where(keep(seen))


def test_a_level_is_that_of_the_machines_whatever_their_pace():
    found = common_levels(fleet(WAVE, variation=0), 280.0)
    true = np.interp(280 + found.at, 7.0 * np.arange(WEEKS) + 3.5, WAVE)
    off = found.log_level - true
    assert off - off.mean() == pytest.approx(0, abs=0.06)
    assert found.at[0] == pytest.approx(-BLOCK / 2)


def test_a_busy_machine_that_comes_late_does_not_lift_the_level():
    def keep(seen):
        return (seen.machine >= 5) | (seen.start >= 140)

    found = common_levels(fleet(np.zeros(WEEKS), variation=0, keep=keep), 280.0)
    assert found.log_level == pytest.approx(0, abs=0.01)


def test_levels_are_as_far_from_the_truth_as_they_say():
    off = []
    for seed in range(30):
        found = common_levels(fleet(np.zeros(WEEKS), m=5, variation=0.8, seed=seed), 280.0)
        off.append(found.log_level / np.sqrt(found.variance))
    assert 0.7 < np.concatenate(off).std() < 1.3


def test_half_months_without_a_reading_are_left_out_and_idle_ones_are_unsure():
    apart = common_levels(fleet(WAVE, keep=lambda s: (s.end <= 100) | (s.start >= 190)), 280.0)
    assert not ((apart.at > -172) & (apart.at < -98)).any()
    idle = common_levels(fleet(np.where(np.arange(WEEKS) < 10, -30.0, 0.0)), 280.0)
    assert np.isfinite(idle.log_level).all()
    assert idle.variance[-1] > 10 * idle.variance[0]
