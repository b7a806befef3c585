"""The stopwatch of two cores: what is done at once counts as long as the longest of it."""

import time
from dataclasses import dataclass

import pytest

from tests.benchmarks import plan_by_processor
from tests.benchmarks.plan_by_processor import UNHURRIED, Turns, TwoCores


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


@dataclass(frozen=True)
class GivenEffort:
    """What of a solve's effort the benchmark looks at."""

    work: float
    seconds: float


def test_a_solve_ends_by_its_work_and_not_by_the_clock_on_the_wall(monkeypatch):
    given = []
    monkeypatch.setattr(plan_by_processor, "SOLVE", lambda _, effort: given.append(effort))
    plan_by_processor.solved(None, GivenEffort(0.2, 0.01))
    assert given == [GivenEffort(0.2, UNHURRIED)]
