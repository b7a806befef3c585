import numpy as np
import pytest

from scheduling.core.intervals import ServicesDone, covering, with_covered
from tests.lines import days


def pairs_of(*pairs):
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def test_covering_goes_through():
    assert covering(pairs_of((0, 1), (1, 2), (2, 3)), 4).tolist() == [
        [0, 1], [0, 2], [0, 3], [1, 2], [1, 3], [2, 3],
    ]  # fmt: skip


def test_a_long_chain_goes_through_to_its_end():
    chain = np.column_stack([np.arange(99), np.arange(1, 100)])
    assert len(covering(chain, 100)) == 99 * 100 // 2


def test_services_may_cover_one_another():
    assert covering(pairs_of((0, 1), (1, 0), (1, 2)), 3).tolist() == [
        [0, 1], [0, 2], [1, 0], [1, 2],
    ]  # fmt: skip


def test_pairs_given_twice_or_with_themselves_are_dropped():
    assert covering(pairs_of((0, 1), (0, 1), (1, 1)), 2).tolist() == [[0, 1]]


def test_nothing_covers_nothing():
    assert covering(pairs_of(), 3).shape == (0, 2)


@pytest.mark.parametrize("pair", [(0, 3), (-1, 0)])
def test_a_number_that_is_not_there_is_refused(pair):
    with pytest.raises(ValueError, match=r"covers names number -?\d, but there are 0 to 2"):
        covering(pairs_of(pair), 3)


def test_a_covered_service_takes_day_and_life_of_the_one_done():
    done = ServicesDone([0, 2], days("2025-01-01", "2025-02-01"), [500.0, 520.0])
    every = with_covered(done, pairs_of((0, 1), (0, 2)))
    assert every.line.tolist() == [0, 1, 2, 2]
    assert every.life.tolist() == [500, 500, 500, 520]
    np.testing.assert_array_equal(
        every.day, days("2025-01-01", "2025-01-01", "2025-01-01", "2025-02-01")
    )


def test_covering_works_upwards_only():
    done = ServicesDone([1], days("2025-01-01"), [250.0])
    assert with_covered(done, pairs_of((0, 1))).line.tolist() == [1]


def test_an_empty_book_covers_nothing():
    assert len(with_covered(ServicesDone.none(), pairs_of((0, 1))).line) == 0
