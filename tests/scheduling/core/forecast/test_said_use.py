import numpy as np
import pytest

from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.forecast.hire_days import HISTORY, HONOUR, Hires
from scheduling.core.forecast.said_use import weights_as_said
from scheduling.core.usage import DayWeights

TODAY = 1000.0


def hires(*rows, machines=2):
    """Rows: machine, first, last, hours said or None."""
    who, first, last, said = zip(*rows, strict=True)
    hours = np.array([np.nan if one is None else one for one in said])
    return Hires(*map(np.array, (who, first, last)), np.ones(machines, dtype=bool), hours)


def day_weight(weights, machine, day):
    return float(weights.between(np.array([machine]), np.array([day]), np.array([day + 1.0]))[0])


def test_a_day_said_to_run_eight_hours_weighs_eight_hours_of_the_rate():
    weights = weights_as_said(None, hires((0, 1003, 1005, 8.0)), np.array([2.0, 2.0]), TODAY)
    said = HONOUR * 8 / 2 + (1 - HONOUR)
    assert [day_weight(weights, 0, d) for d in (1002, 1003, 1005, 1006)] == pytest.approx(
        [1, said, said, 1]
    )
    assert day_weight(weights, 1, 1004) == pytest.approx(1)


def test_past_days_and_days_of_which_nothing_was_said_stay_as_they_are():
    base = DayWeights(1000 - HISTORY, np.full((2, HISTORY + HORIZON + 1), 0.5))
    both = hires((0, 990, 1001, 6.0), (1, 1000, 1004, None))
    weights = weights_as_said(base, both, np.array([2.0, 2.0]), TODAY)
    assert day_weight(weights, 0, 995) == pytest.approx(0.5)
    assert day_weight(weights, 0, 1001) == pytest.approx(HONOUR * 3 + (1 - HONOUR) * 0.5)
    assert day_weight(weights, 1, 1002) == pytest.approx(0.5)


@pytest.mark.parametrize(
    "rows",
    [[(0, 1000, 1004, None)], [(0, 980, 990, 8.0)], [(0, 1000 + HORIZON + 1, 1200, 8.0)]],
    ids=["nothing said", "over", "beyond the horizon"],
)
def test_where_nothing_is_said_of_days_that_count_nothing_changes(rows):
    base = DayWeights(0, np.ones((1, 2000)))
    assert weights_as_said(base, hires(*rows), np.array([2.0, 2.0]), TODAY) is base
    assert weights_as_said(base, None, np.array([2.0, 2.0]), TODAY) is base


def test_a_machine_that_never_ran_is_left_as_it_is():
    assert weights_as_said(None, hires((0, 1000, 1001, 8.0)), np.array([0.0, 1.0]), TODAY) is None


def test_of_two_promises_of_one_day_the_longer_use_counts():
    both = hires((0, 1000, 1000, 3.0), (0, 1000, 1000, 5.0))
    weights = weights_as_said(None, both, np.array([1.0, 1.0]), TODAY)
    assert day_weight(weights, 0, 1000) == pytest.approx(HONOUR * 5 + (1 - HONOUR))
