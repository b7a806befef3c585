import numpy as np
import pytest

from scheduling.core.usage.flat_arrays import machine_index, previous_in_run, refuse_unless_finite


def test_previous_row_stays_in_its_run():
    assert previous_in_run(np.array([0, 0, 2, 2, 2])).tolist() == [-1, 0, -1, 2, 3]
    assert previous_in_run(np.array([], dtype=int)).tolist() == []


@pytest.mark.parametrize("bad", [-1, 3, 0.5])
def test_an_index_that_names_no_machine_is_refused(bad):
    with pytest.raises(ValueError, match="numbered 0 to 2"):
        machine_index([0, bad], 3, "Reading")


def test_a_value_that_is_not_finite_is_refused_by_machine():
    with pytest.raises(ValueError, match="weight of machine 7 is inf"):
        refuse_unless_finite(np.array([1.0, np.inf]), np.array([3, 7]), "weight")
