import numpy as np
import pytest

from scheduling.core.usage import Readings, Swaps


def test_swaps_come_back_in_order_of_machine_and_day():
    swaps = Swaps([1, 0, 1], [9.0, 5.0, 2.0], [1.0, 2.0, 3.0], [0.0, 0.0, 0.0]).checked(2)
    assert swaps.machine.tolist() == [0, 1, 1]
    assert swaps.old_last.tolist() == [2.0, 3.0, 1.0]


@pytest.mark.parametrize(
    "make",
    [
        lambda: Readings([0, 0], [1.0], [1.0, 2.0]).checked(1),  # one day short
        lambda: Swaps([0], [1.0], [1.0, 2.0], [0.0]).checked(1),  # one value too many
        lambda: Swaps([0], [np.inf], [1.0], [0.0]).checked(1),  # no day
        lambda: Swaps([2], [1.0], [1.0], [0.0]).checked(1),  # no such machine
    ],
)
def test_columns_that_do_not_fit_are_refused(make):
    with pytest.raises(ValueError, match=r"\w+ .*\."):
        make()


def test_nothing_is_a_proper_answer_to_nothing():
    assert Readings.none().checked(0).day.size == 0
    assert Swaps.none().checked(3).day.size == 0
