import numpy as np
import pytest

from scheduling.core.usage import (
    CalendarFactors,
    StoredDays,
    UseIntervals,
    calendar_weights,
    learn_calendar,
)
from scheduling.core.usage.calendar_factors import month_of, weekday_of

MONDAY = 19_723  # 2024-01-01


def fleet(weight, first, days, seed=1, machines=40):
    """Machines read every two to five days; a day's use follows its weight."""
    rng = np.random.default_rng(seed)
    day = first + np.arange(days)
    parts = []
    for machine in range(machines):
        use = rng.gamma(2.0, 0.5, days) * weight(day) * rng.uniform(1, 8)
        life = np.concatenate([[0.0], np.cumsum(use)])
        cuts = np.cumsum(rng.integers(2, 6, days))
        cuts = cuts[cuts <= days]
        parts.append((np.full(cuts.size - 1, machine), cuts[:-1], cuts[1:], np.diff(life[cuts])))
    machine, start, end, use = (np.concatenate(column) for column in zip(*parts, strict=True))
    start, end = start + float(first), end + float(first)
    return UseIntervals(machine, start, end, end - start, use, machines)


def test_weekday_and_month_follow_the_calendar():
    # 2024-01-01 was a Monday, 2024-02-29 a Thursday.
    assert weekday_of(np.array([MONDAY, MONDAY + 59])).tolist() == [0, 3]
    assert month_of(np.array([MONDAY, MONDAY + 59, MONDAY + 60])).tolist() == [0, 1, 2]


def test_a_day_of_rest_is_learnt_from_readings_days_apart():
    seen = fleet(lambda day: (weekday_of(day) != 6) * 7 / 6, MONDAY, 360)
    factors = learn_calendar(seen, np.zeros(40, dtype=int))
    assert factors.weekday[6] < 0.45
    assert factors.weekday[:6].min() > 0.9


def test_even_days_stay_even():
    factors = learn_calendar(fleet(lambda day: day * 0 + 1.0, MONDAY, 360), np.zeros(40, dtype=int))
    assert factors.weekday == pytest.approx(1.0, abs=0.15)


@pytest.mark.parametrize(("years", "summer"), [(1, 1.0), (3, 1.6)])
def test_a_season_is_learnt_from_the_second_year_on(years, summer):
    def season(day):
        return 1 + 0.8 * np.isin(month_of(day), [5, 6, 7])

    seen = fleet(season, MONDAY, 365 * years, machines=20)
    month = learn_calendar(seen, np.zeros(20, dtype=int)).month[0]
    ratio = month[[5, 6, 7]].mean() / month[[0, 1, 10, 11]].mean()
    assert ratio == pytest.approx(summer, abs=0.25)


def test_a_fleet_that_never_ran_keeps_flat_days():
    seen = fleet(lambda day: day * 0.0, MONDAY, 60, machines=3)
    factors = learn_calendar(seen, np.zeros(3, dtype=int))
    assert (factors.weekday == 1).all()
    assert (factors.month == 1).all()


def test_storage_weighs_nothing_and_other_days_what_the_calendar_says():
    factors = CalendarFactors(np.array([1, 1, 1, 1, 1, 1, 0.0]), np.ones((1, 12)))
    away = StoredDays(np.array([1]), np.array([MONDAY + 2]), np.array([MONDAY + 4]))
    weights = calendar_weights(factors, np.zeros(2, dtype=int), MONDAY, 7, away)
    assert weights.weight[0].tolist() == [1, 1, 1, 1, 1, 1, 0]
    assert weights.weight[1].tolist() == [1, 1, 0, 0, 0, 1, 0]
