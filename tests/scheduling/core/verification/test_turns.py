import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.core.verification.turns import TURN, turn_of


@given(st.integers(0, 40_000), st.integers(0, 10_000))
def test_a_turn_lasts_fourteen_days(day, key):
    turns = [turn_of(day + ahead, key) for ahead in range(TURN + 1)]
    assert turns[-1] == turns[0] + 1
    assert len(set(turns[:-1])) <= 2


def test_machines_take_their_turns_on_different_days():
    begins = turn_of(20_000, np.arange(28)) != turn_of(19_999, np.arange(28))
    assert begins.sum() == 2


@pytest.mark.parametrize("key", [0, 5, 13])
def test_one_and_many_agree(key):
    assert turn_of(20_000, key) == turn_of(20_000, np.array([key]))[0]
