import numpy as np
import pytest

from scheduling.core.forecast import UseCircumstances


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"origin": np.nan}, "origin of a forecast is nan"),
        ({"origin": np.inf}, "origin of a forecast is inf"),
        ({"usual_rate": 0.0}, "usual use of a machine is 0.0"),
        ({"usual_rate": np.nan}, "usual use of a machine is nan"),
    ],
)
def test_circumstances_that_cannot_be_are_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        UseCircumstances(**({"group": np.zeros(1, dtype=int), "origin": 1.0} | changes))


def test_a_group_that_is_no_index_is_refused():
    with pytest.raises(ValueError, match="group of machine 1"):
        _ = UseCircumstances(np.array([0, -1]), 1.0).groups
