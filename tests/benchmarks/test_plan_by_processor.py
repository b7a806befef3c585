"""The stopwatch of two cores: what is done at once counts as long as the longest of it."""

import time

import pytest

from tests.benchmarks.plan_by_processor import Turns, TwoCores


def work(seconds):
    """Keep the processor busy, and return the seconds asked for."""
    until = time.process_time() + seconds
    while time.process_time() < until:
        pass
    return seconds


@pytest.mark.parametrize(("calls", "beside", "counted"), [((0.1, 0.04), 0.02, 0.1), ((), 0.1, 0.1)])
def test_what_is_done_at_once_counts_as_long_as_the_longest(calls, beside, counted):
    clock = TwoCores()
    started, worked = clock(), time.process_time()
    with Turns(clock) as turns:
        answers = turns.map(work, calls)
        work(beside)
        assert tuple(answers) == calls
    assert time.process_time() - worked >= sum(calls) + beside
    assert counted <= clock() - started < counted + 0.03
