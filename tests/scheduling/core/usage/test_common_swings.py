import numpy as np
import pytest

from scheduling.core.usage import UseIntervals, common_swings


def fleet(weight, seed=3, m=20, weeks=40):
    """Machines read weekly whose use varies by chance, times a weight of (machine, week)."""
    rng = np.random.default_rng(seed)
    use = 7 * rng.uniform(1, 8, (m, 1)) * rng.gamma(4.0, 0.25, (m, weeks)) * weight
    start = np.tile(7.0 * np.arange(weeks), m)
    days = np.full(m * weeks, 7.0)
    return UseIntervals(np.repeat(np.arange(m), weeks), start, start + 7, days, use.ravel(), m)


WAVE = 1 + 0.5 * np.sin(2 * np.pi * np.arange(40) / 40)
TOGETHER = np.zeros(20, dtype=int)


def test_a_wave_of_all_machines_is_measured_by_its_variance():
    assert common_swings(fleet(WAVE), TOGETHER) == pytest.approx(0.125, rel=0.15)


def test_machines_that_vary_each_for_itself_do_not_swing_together():
    own = np.stack([np.roll(WAVE, 2 * i) for i in range(20)])
    assert common_swings(fleet(own), TOGETHER) < 0.01


def test_groups_that_swing_against_each_other_do_not_cancel_out():
    group = np.arange(20) % 2
    against = np.where(group[:, None] == 0, WAVE, 2 - WAVE)
    assert common_swings(fleet(against), group) == pytest.approx(0.125, rel=0.15)


def test_two_machines_or_two_months_or_none_tell_nothing():
    seen = fleet(WAVE)
    assert common_swings(seen.where(seen.machine < 2), TOGETHER) == 0
    assert common_swings(seen.where(seen.end > 240), TOGETHER) == 0
    assert common_swings(seen.where(seen.end < 0), TOGETHER) == 0
