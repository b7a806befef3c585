import numpy as np
import pytest
from scipy.integrate import quad

from scheduling.core.usage import Memory, memory_weights


@pytest.mark.parametrize(("start", "end"), [(60.0, 90.0), (99.0, 100.0), (-500.0, 20.0)])
def test_weight_is_the_mean_of_the_memory_over_the_interval(start, end):
    memory = Memory(half_life=30.0, fast_share=0.8)
    area = quad(lambda age: 0.8 * 2 ** (-age / 30) + 0.2, 100 - end, 100 - start)[0]
    weight = memory_weights(np.array([start]), np.array([end]), 100.0, memory)
    assert weight[0] == pytest.approx(area / (end - start))


def test_an_interval_of_no_length_has_the_memory_of_its_moment():
    weight = memory_weights(np.array([70.0]), np.array([70.0]), 100.0, Memory(30.0, 1.0))
    assert weight[0] == pytest.approx(0.5)


def test_what_lies_after_the_origin_counts_in_full():
    weight = memory_weights(np.array([100.0]), np.array([110.0]), 100.0, Memory(30.0, 0.9))
    assert weight[0] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("half_life", "share"), [(0.0, 0.5), (-3.0, 0.5), (30.0, 1.2), (30.0, -0.1)]
)
def test_a_memory_that_cannot_be_is_refused(half_life, share):
    with pytest.raises(ValueError, match="memory"):
        Memory(half_life, share)
