"""Levels adjusted from outcomes: simulated fleets whose true spread is known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from scheduling.core.verification.recalibration import (
    NOMINAL,
    RecalibrationLimits,
    Tail,
    design_effect,
    recalibrated_level,
)


def day_of(level, spread=1.0):
    """The day that a model names for a chance: a median of 40 days, lognormal with spread 1/3."""
    return 40 * np.exp(norm.ppf(level) * spread / 3)


def tails(true_spread, n=2000, levels=NOMINAL, seed=5):
    """Both ends of ranges of a model that believes in a spread of 1."""
    truth = day_of(np.random.default_rng(seed).uniform(size=n), true_spread)
    machine = np.arange(n)
    return [Tail(np.full(n, a), np.full(n, day_of(a)), truth, machine) for a in levels]


def levels_after(true_spread, **options):
    return tuple(
        recalibrated_level(tail, target)
        for tail, target in zip(tails(true_spread, **options), NOMINAL, strict=True)
    )


def coverage(levels, true_spread):
    """Share of truths between the days of two levels."""
    low, high = (norm.cdf(norm.ppf(level) / true_spread) for level in levels)
    return high - low


def test_a_model_that_is_right_is_left_alone():
    low, high = levels_after(1.0)
    assert low == pytest.approx(0.1, abs=0.011)
    assert high == pytest.approx(0.9, abs=0.011)


@pytest.mark.parametrize("true_spread", [1.1, 1.15, 1.2])
def test_ranges_that_are_too_narrow_are_widened_to_eight_in_ten(true_spread):
    after = levels_after(true_spread)
    assert coverage(NOMINAL, true_spread) < 0.765
    assert coverage(after, true_spread) == pytest.approx(0.8, abs=0.025)


@pytest.mark.parametrize("true_spread", [0.75, 0.85])
def test_ranges_that_are_too_wide_are_narrowed(true_spread):
    after = levels_after(true_spread)
    assert coverage(after, true_spread) == pytest.approx(0.8, abs=0.035)


@pytest.mark.parametrize(("true_spread", "bound"), [(4.0, (0.05, 0.95)), (0.2, (0.15, 0.85))])
def test_it_never_goes_past_the_bounds(true_spread, bound):
    assert levels_after(true_spread) == bound


def test_what_was_really_asked_for_counts():
    """Adjusted once, it stays: it does not wind up by being adjusted again."""
    first = levels_after(1.2)
    again = levels_after(1.2, levels=first, seed=6)
    assert again == pytest.approx(first, abs=0.011)


def test_a_model_that_mends_itself_brings_the_levels_back():
    low, high = levels_after(1.0, levels=(0.06, 0.94))
    assert (low, high) == pytest.approx(NOMINAL, abs=0.011)


@pytest.mark.parametrize("n", [0, 1, 12, 29])
def test_few_outcomes_move_nothing(n):
    assert levels_after(3.0, n=n) == NOMINAL


def test_many_outcomes_of_one_machine_count_as_few():
    tail = tails(3.0, n=400)[0]
    alone = Tail(tail.asked, tail.day, np.repeat(tail.truth[:2], 200), np.repeat([0, 1], 200))
    assert recalibrated_level(alone, 0.1) == 0.1
    assert recalibrated_level(tail, 0.1) == 0.05


def test_design_effect_of_single_draws_is_one_and_of_copies_their_number():
    off = np.tile([1.0, -1.0], 50)
    assert design_effect(off, np.arange(100)) == pytest.approx(1.0, abs=0.02)
    copies = np.repeat(off, 4)
    assert design_effect(copies, np.repeat(np.arange(100), 4)) == pytest.approx(4.0, abs=0.1)


def test_outcomes_all_alike_count_once_a_machine():
    assert design_effect(np.zeros(60), np.arange(60) // 3) == 3.0


def test_a_truth_on_the_day_named_counts_half():
    days = np.array([5.0, 5.0, 5.0])
    tail = Tail(np.full(3, 0.1), days, np.array([4.0, 5.0, 6.0]), np.arange(3))
    assert tail.before.tolist() == [1.0, 0.5, 0.0]


@settings(max_examples=60)
@given(
    truth=st.lists(st.integers(0, 120), min_size=0, max_size=200),
    asked=st.floats(0.02, 0.3), day=st.integers(1, 119), machines=st.integers(1, 60),
)  # fmt: skip
def test_levels_stay_in_bounds_and_on_their_steps(truth, asked, day, machines):
    n = len(truth)
    tail = Tail(np.full(n, asked), np.full(n, float(day)), np.array(truth, dtype=float),
                np.arange(n) % machines)  # fmt: skip
    level = recalibrated_level(tail, 0.1)
    assert 0.05 <= level <= 0.15
    assert level == pytest.approx(round(level, 2))


@given(st.floats(0.3, 3))
@settings(max_examples=20)
def test_more_truths_before_the_day_never_raise_the_level(spread):
    tail = tails(spread, n=300)[0]
    sooner = Tail(tail.asked, tail.day, tail.truth * 0.9, tail.machine)
    assert recalibrated_level(sooner, 0.1) <= recalibrated_level(tail, 0.1)


@pytest.mark.parametrize(
    ("field", "value"),
    [("least", 0), ("prior", -1), ("reach", float("nan")), ("step", 0), ("reach", 0.1)],
)
def test_rules_that_cannot_be_meant_are_refused(field, value):
    with pytest.raises(ValueError, match=r"adjusting|reach"):
        RecalibrationLimits(**{field: value})


def test_a_chance_outside_0_to_1_is_refused():
    with pytest.raises(ValueError, match="not in 0 to 1"):
        recalibrated_level(Tail(np.array([1.0]), np.ones(1), np.ones(1), np.zeros(1, int)), 0.1)


@pytest.mark.parametrize(("truth", "level"), [(10.0, 0.05), (90.0, 0.15)])
def test_thousands_of_machines_that_all_err_to_one_side_reach_the_bound(truth, level):
    """All truths before the early day, or all behind it, on more machines than the prior bears."""
    n = 5000
    tail = Tail(np.full(n, 0.1), np.full(n, 40.0), np.full(n, truth), np.arange(n))
    assert recalibrated_level(tail, 0.1) == pytest.approx(level)
