import numpy as np
import pytest

from scheduling.core.forecast.quantiles import first_days


class Steps:
    """Chances that jump from one value to the next on given days."""

    def __init__(self, table):
        self.table = np.asarray(table, dtype=float)
        self.asked = 0

    def __len__(self):
        return self.table.shape[0]

    def __call__(self, day):
        self.asked += day.size
        return self.table[np.arange(len(self)), day]

    def some(self, rows):
        part = Steps(self.table[rows])
        part.asked = self.asked
        return part


@pytest.mark.parametrize("seed", range(8))
def test_the_day_found_is_the_first_on_which_the_chance_is_reached(seed):
    rng = np.random.default_rng(seed)
    table = np.sort(rng.beta(0.3, 0.3, (200, 121)), axis=1)
    if seed % 2:
        table = np.round(table, 1)  # long flat runs and equal values
    found = first_days(Steps(table), (0.1, 0.5, 0.9), 120)
    for column, wanted in enumerate((0.1, 0.5, 0.9)):
        reached = table >= wanted
        expected = np.where(reached.any(axis=1), np.argmax(reached, axis=1), np.inf)
        np.testing.assert_array_equal(found[:, column], expected)


def test_the_ends_are_today_and_beyond():
    found = first_days(Steps([np.ones(121), np.zeros(121)]), (0.5,), 120)
    assert found[:, 0].tolist() == [0, np.inf]


def test_no_services_and_no_quantiles_have_empty_answers():
    assert first_days(Steps(np.zeros((0, 121))), (0.5,), 120).shape == (0, 1)
    assert first_days(Steps(np.zeros((4, 121))), (), 120).shape == (4, 0)
