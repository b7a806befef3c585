"""The twelve weeks against what really came, a short form of `weeks_truth`."""

import numpy as np
import pytest

from tests.benchmarks.forecast_benchmark import protocol_of
from tests.benchmarks.weeks_truth import Told, told


def test_on_open_data_the_weeks_said_come_and_few_bring_more_than_nine_in_ten_should():
    protocol = protocol_of("hours")
    found = told(protocol, protocol.origins[1::4], shop=40)
    assert found.said.sum() == pytest.approx(found.came.sum(), rel=0.1)
    assert found.off(found.said.sum(axis=1)) <= 0.16
    assert 0.03 <= found.passed <= 0.18


def test_each_time_that_a_machine_gets_to_its_next_service_is_counted():
    protocol = protocol_of("hours")
    day = protocol.origins[3]
    (task,), _ = protocol.ask(day, 1, with_bookings=False)
    i = protocol.fleet.names.index(task.machine)
    times = protocol.times_due(i, day, task, 120)
    assert times[0] == task.truth
    every = protocol.interval(i, protocol.group_rates(day)[i])
    ran = np.diff(protocol.life[i, day + times + 1])
    assert len(ran) > 0
    assert ran == pytest.approx(every, abs=24)  # to the day: no machine runs more in one


def test_figures_are_those_counted_by_hand():
    came = np.array([[2.0, 0, 4], [1, 3, 2]])
    found = Told(np.full((2, 3), 2.0), np.full((2, 3), 3.0), np.full((2, 3), 1.0), came)
    assert found.off(found.said.sum(axis=1)) == 0
    assert found.off(found.even.sum(axis=1)) == 6 / 12
    assert found.off(found.said) == (0 + 2 + 2 + 1 + 1 + 0) / 12
    assert found.passed == 1 / 6
