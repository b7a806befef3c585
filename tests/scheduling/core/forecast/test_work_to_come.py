"""Twelve weeks that repeat: the pure simulation."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.core.forecast import RepeatingWork, middle_times, work_to_come
from scheduling.core.forecast.work_to_come import times_due

WEEKS = 12


def work(*lines, covered_by=None):
    """Lines of (low, middle, high, every, hours, skill)."""
    columns = [np.array(column, dtype=float) for column in zip(*lines, strict=True)]
    return RepeatingWork(
        *columns[:5], columns[5].astype(np.int64), covered_by or [[] for _ in lines]
    )


def total(made, **more):
    return work_to_come(made, 1, WEEKS, **more).together.sum()


def test_a_service_of_50_h_at_13_h_a_week_comes_three_times_in_twelve_weeks():
    every = 50 / 13 * 7
    assert total(work((every, every, every, every, 1.0, 0))) == pytest.approx(3)


def test_each_time_stands_in_its_week():
    every = 50 / 13 * 7  # days 26.9, 53.8, 80.8
    found = work_to_come(work((every, every, every, every, 2.0, 0)), 1, WEEKS)
    assert np.flatnonzero(found.together).tolist() == [3, 7, 11]


def test_what_is_past_comes_today_and_again_after_its_interval():
    found = work_to_come(work((-20, -20, -20, 28, 1.5, 0)), 1, WEEKS)
    assert np.flatnonzero(found.together).tolist() == [0, 4, 8]


def test_weeks_may_begin_before_today():
    found = work_to_come(work((3, 3, 3, np.inf, 1.0, 0)), 1, WEEKS, gone=4)
    assert np.flatnonzero(found.together).tolist() == [1]


def test_what_comes_once_and_what_is_out_of_sight():
    inf = np.inf
    assert total(work((3, 3, 3, inf, 2.0, 0))) == 2.0
    assert total(work((inf, inf, inf, 30, 2.0, 0))) == 0.0


def test_a_service_that_does_another_too_takes_its_place():
    made = work((28, 28, 28, 28, 1.0, 0), (56, 56, 56, 56, 3.0, 0), covered_by=[[1], []])
    found = work_to_come(made, 1, WEEKS)
    assert found.together[[4, 8]].tolist() == [1.0, 3.0]


def test_hours_are_of_the_skill_that_is_asked_for():
    found = work_to_come(work((1, 1, 1, np.inf, 1, 0), (1, 1, 1, np.inf, 4, 1)), 2, WEEKS)
    assert found.expected[:, 0].tolist() == [1, 4]


def test_a_wide_forecast_is_spread_over_its_weeks_and_nine_in_ten_lie_below_the_upper_figure():
    made = work(*[(10, 30, 60, np.inf, 1.0, 0)] * 200)
    found = work_to_come(made, 1, WEEKS, draws=400)
    assert found.together.sum() == pytest.approx(200, abs=6)
    assert (found.together_ninth >= found.together).all()
    low = found.together[:1].sum()
    assert low == pytest.approx(0.07 * 200, abs=6)  # 7 of 100 before day 7: z = -23/15.6


def by_hand(low, middle, high, every, horizon):
    """How often a line without any doubt comes, counted one by one."""
    day, times = max(0.0, middle), 0
    while day < horizon:
        times, day = times + 1, day + max(1.0, every)
    return times


@given(
    st.lists(
        st.tuples(st.integers(-40, 120), st.integers(1, 200), st.floats(0.1, 8)),
        min_size=1,
        max_size=6,
    ),
    st.integers(1, 20),
)
@settings(max_examples=60)
def test_without_doubt_it_counts_what_one_counts_by_hand(lines, weeks):
    made = work(*[(middle, middle, middle, every, hours, 0) for middle, every, hours in lines])
    found = work_to_come(made, 1, weeks, draws=8)
    wanted = sum(
        hours * by_hand(middle, middle, middle, every, 7 * weeks) for middle, every, hours in lines
    )
    assert found.together.sum() == pytest.approx(wanted)
    assert found.together_ninth == pytest.approx(found.together)


@given(st.floats(-20, 80), st.floats(0, 20), st.floats(0, 40), st.floats(1, 120), st.integers(0, 9))
@settings(max_examples=60)
def test_every_draw_goes_forward_within_the_weeks(middle, below, above, every, seed):
    made = work((middle - below, middle, middle + above, every, 1.0, 0))
    (days,) = times_due(made, 84, np.random.default_rng(seed), 16)
    seen = np.where(np.isfinite(days), days, 84)
    assert ((seen >= 0) & (seen <= 84)).all()
    assert (np.diff(seen, axis=1) >= 0).all()


@given(st.floats(1, 60), st.floats(1, 60), st.floats(7, 60))
@settings(max_examples=40)
def test_covering_never_adds_work(first, upper, every):
    lines = (first, first, first, every, 1.0, 0), (upper, upper, upper, 2 * every, 1.0, 0)
    assert total(work(*lines, covered_by=[[1], []]), draws=4) <= total(work(*lines), draws=4)


def test_the_middle_days_are_those_of_the_forecast_and_its_repeats():
    far = np.array([10.0, np.inf])
    work = RepeatingWork(
        far, far, far, np.array([30.0, 5.0]), np.ones(2), np.zeros(2, dtype=np.int64), [[], []]
    )
    first, second = middle_times(work, 84)
    assert first.tolist() == [10, 40, 70]
    assert len(second) == 0


def test_a_middle_past_the_last_week_still_comes_sooner_in_some_draws():
    made = work(*[(60, 85, 120, np.inf, 1.0, 0)] * 100)
    # z = -1 / (25 / 1.28) before day 84: 48 of 100
    assert total(made, draws=400) == pytest.approx(48, abs=3)
    late = work(*[(60, 120, 130, np.inf, 1.0, 0)] * 100)
    # z = -36 / (60 / 1.28): 22 of 100
    assert total(late, draws=400) == pytest.approx(22, abs=3)


def test_a_late_day_beyond_sight_lies_as_far_from_the_middle_as_the_early_one():
    unseen = work(*[(70, 80, np.inf, np.inf, 1.0, 0)] * 50)
    seen = work(*[(70, 80, 90, np.inf, 1.0, 0)] * 50)
    assert total(unseen) == pytest.approx(total(seen))
    assert 25 < total(unseen) < 50
