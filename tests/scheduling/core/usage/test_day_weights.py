import numpy as np
import pytest

from scheduling.core.usage import DayWeights

WEIGHTS = DayWeights(100, np.array([[1.0, 0.0, 2.0], [0.5, 0.5, 0.5]]))


@pytest.mark.parametrize(
    ("machine", "start", "end", "effective"),
    [
        (0, 100.0, 103.0, 3.0),
        (0, 100.5, 101.5, 0.5),  # half of a usual day, half of a day of rest
        (0, 102.25, 102.75, 1.0),
        (1, 100.0, 103.0, 1.5),
        (0, 95.0, 101.0, 6.0),  # days before the weights count 1
        (0, 102.0, 110.0, 9.0),  # days after them too
        (0, 90.0, 92.0, 2.0),
        (1, 101.0, 101.0, 0.0),
    ],
)
def test_effective_days_add_the_weights_of_the_days(machine, start, end, effective):
    found = WEIGHTS.between(np.array([machine]), np.array([start]), np.array([end]))
    assert found[0] == pytest.approx(effective)


def test_one_row_serves_all_machines():
    shared = DayWeights(0, np.array([[2.0]]))
    found = shared.between(np.array([0, 9]), np.zeros(2), np.ones(2))
    assert found.tolist() == [2.0, 2.0]


@pytest.mark.parametrize("bad", [-0.5, np.nan, np.inf])
def test_a_weight_that_cannot_be_is_refused_with_day_and_machine(bad):
    with pytest.raises(ValueError, match="day 101 of machine 1"):
        DayWeights(100, np.array([[1.0, 1.0], [1.0, bad]]))
