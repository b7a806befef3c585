"""One try in time is enough, and what is too slow each time is told as too slow."""

from tests.in_time import TRIES, first_in_time


def test_the_first_try_in_time_counts_and_no_more_are_made():
    tries = iter([3.0, 1.0, 0.5])
    assert first_in_time(lambda: next(tries), float, limit=2.0) == 1.0
    assert list(tries) == [0.5]


def test_what_is_too_slow_each_time_is_returned_as_it_is():
    tries = iter([4.0, 3.0, 5.0, 1.0])
    assert first_in_time(lambda: next(tries), float, limit=2.0) == 5.0
    assert TRIES == 3
