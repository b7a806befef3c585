from datetime import date

import numpy as np
import pytest

from fleet.demo import daily_use
from fleet.demo.hire_seasons import SimulatedHire
from fleet.demo.scenario import Also
from tests.fleet.demo.test_hire_seasons import pattern_of

FIRST = date(2025, 1, 1).toordinal()
DAYS = np.arange(FIRST, FIRST + 730)


def rng(seed=1):
    return np.random.default_rng(seed)


def test_a_machine_in_the_yard_hardly_runs():
    used = daily_use.hire_use(rng(), pattern_of("Quad", False), DAYS, [], 1.0)
    assert used.max() < 0.2


def test_a_machine_runs_on_hire_as_its_class_does():
    pattern = pattern_of("Skid steer", False)
    hires = [SimulatedHire(FIRST + 20 * n, FIRST + 20 * n + 13, FIRST) for n in range(36)]
    used = daily_use.hire_use(rng(), pattern, DAYS, hires, 1.0)
    out = np.isin(DAYS, [d for h in hires for d in range(h.first, h.last + 1)])
    # Every seventh day is a Sunday, and about one day in eight nothing is done.
    expected = pattern.a_day * 0.88 * (6 + pattern.sunday) / 7
    assert used[out].mean() == pytest.approx(expected, rel=0.15)


def test_use_is_never_negative_nor_more_than_a_day_holds():
    hires = [SimulatedHire(FIRST, FIRST + 729, FIRST)]
    used = daily_use.hire_use(rng(), pattern_of("Generator", False), DAYS, hires, 3.0)
    assert used.min() >= 0
    assert used.max() <= daily_use.MOST_A_DAY["hours"]


def test_haying_is_the_tractors_busy_time():
    used = daily_use.ranch_use(rng(), pattern_of("Tractor", True), DAYS, 1.0)
    months = np.array([date.fromordinal(int(d)).month for d in DAYS])
    assert used[months == 7].mean() > 3 * used[months == 10].mean()


def test_a_ranch_machine_has_idle_spells():
    used = daily_use.ranch_use(rng(4), pattern_of("Tractor", True), DAYS, 1.0)
    idle = "".join("1" if u == 0 else "0" for u in used)
    assert "1" * 10 in idle


def test_a_second_meter_runs_with_the_first():
    main = np.full(4000, 5.0)
    also = daily_use.also_use(rng(), Also("distance", 14_000, 0.2), main, 1.0)
    assert also.mean() == pytest.approx(70_000, rel=0.02)


def test_pace_spreads_machines_about_one():
    paces = [daily_use.machine_pace(rng(seed), 0.25) for seed in range(2000)]
    assert np.mean(paces) == pytest.approx(1, abs=0.03)
    assert np.std(paces) == pytest.approx(0.25, abs=0.03)
