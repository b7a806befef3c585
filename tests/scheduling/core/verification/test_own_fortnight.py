import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.core.verification.own_fortnight import FORTNIGHT, fortnight_of


@given(st.integers(0, 40_000), st.integers(0, 10_000))
def test_a_fortnight_lasts_fourteen_days(day, key):
    fortnights = [fortnight_of(day + ahead, key) for ahead in range(FORTNIGHT + 1)]
    assert fortnights[-1] == fortnights[0] + 1
    assert len(set(fortnights[:-1])) <= 2


def test_machines_begin_their_fortnights_on_different_days():
    begins = fortnight_of(20_000, np.arange(28)) != fortnight_of(19_999, np.arange(28))
    assert begins.sum() == 2


@pytest.mark.parametrize("key", [0, 5, 13])
def test_one_and_many_agree(key):
    assert fortnight_of(20_000, key) == fortnight_of(20_000, np.array([key]))[0]
