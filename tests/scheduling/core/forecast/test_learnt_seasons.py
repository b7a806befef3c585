import numpy as np
import pytest

from scheduling.core.forecast import UseCircumstances, learn_months, with_months
from scheduling.core.usage import DayWeights, Readings, Swaps, clean, month_of

MONDAY = 19_723  # 2024-01-01


def lines(days, pace=lambda day: 1.0 + 3.0 * np.isin(month_of(day), [5, 6, 7]), m=6):
    """Six machines read weekly that run by the month; the last reading is of the origin."""
    day = MONDAY + np.arange(days)
    life = np.concatenate([[0.0], np.cumsum(pace(day))])[::7]
    at = MONDAY + 7.0 * np.arange(life.size)
    rates = np.linspace(1, 4, m)[:, None]
    cleaned = clean(
        Readings(np.repeat(np.arange(m), life.size), np.tile(at, m), (rates * life).ravel()),
        Swaps.none(),
        m,
    )
    return cleaned, UseCircumstances(np.zeros(m, dtype=int), float(at[-1]))


def test_from_thirteen_months_on_months_are_learnt():
    assert learn_months(*lines(390)) is None
    month = learn_months(*lines(430))[0]
    assert month[[5, 6, 7]].mean() / month[[0, 1, 10, 11]].mean() == pytest.approx(4, rel=0.15)


def test_growth_is_not_taken_for_a_season():
    month = learn_months(*lines(470, pace=lambda day: np.exp((day - MONDAY) / 200.0)))[0]
    assert month == pytest.approx(1.0, abs=0.1)


def test_lines_that_count_from_another_day_have_the_same_months():
    cleaned, about = lines(800)
    shifted = clean(
        Readings(cleaned.machine, cleaned.day - MONDAY, cleaned.points_life), Swaps.none(), 6
    )
    moved = UseCircumstances(about.group, about.origin - MONDAY)
    assert learn_months(shifted, moved, MONDAY) == pytest.approx(learn_months(cleaned, about))


def test_what_is_stated_already_is_not_learnt_again():
    cleaned, about = lines(800)
    day = np.arange(MONDAY, MONDAY + 1000)
    stated = DayWeights(MONDAY, (1.0 + 3.0 * np.isin(month_of(day), [5, 6, 7]))[None, :])
    found = learn_months(cleaned, UseCircumstances(about.group, about.origin, None, stated))
    assert found == pytest.approx(1.0, abs=0.1)


def test_months_become_weights_of_the_days_to_come():
    cleaned, about = lines(800)
    assert with_months(*lines(300)).day_weights is None
    weights = with_months(cleaned, about).day_weights
    june, december = ((np.datetime64(d) - np.datetime64(0, "D")).astype(int)
                      for d in ("2026-06-10", "2025-12-10"))  # fmt: skip
    one = np.zeros(1, dtype=int)
    summer = weights.between(one, np.array([june + 0.0]), np.array([june + 1.0]))
    winter = weights.between(one, np.array([december - 365.0]), np.array([december - 364.0]))
    assert summer / winter == pytest.approx(4, rel=0.25)
