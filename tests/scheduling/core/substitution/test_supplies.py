"""Whether what there is of a part reaches for what is taken of it."""

import pytest

from scheduling.core.substitution import ShelfSupply


@pytest.mark.parametrize(
    ("taken", "reaches"),
    [
        ([], True),
        ([(0, 2)], True),
        ([(0, 3)], False),
        ([(4, 3)], True),
        ([(4, 2), (0, 1)], True),  # in whatever order it is said
        ([(3, 3)], False),  # the day before more comes
        ([(9, 1), (0, 2), (4, 1)], False),  # all together
        ([(0, 0.5), (0, 1.5)], True),
    ],
)
def test_what_is_taken_by_a_day_has_come_by_that_day(taken, reaches):
    """Two lie there, one more comes on day 4."""
    assert ShelfSupply(2, ((4, 1),)).reaches(taken) == reaches


def test_by_a_day_counts_what_comes_on_it():
    supply = ShelfSupply(2, ((4, 1), (6, 5)))
    assert [supply.by(day) for day in (0, 3, 4, 5, 6)] == [2, 2, 3, 3, 8]
