import numpy as np
import pytest

from scheduling.core.usage import DayWeights, Readings, Swaps, clean, use_intervals


def life_lines(day, value, machine=None, n=1):
    machine = np.zeros(len(day), dtype=int) if machine is None else np.array(machine)
    return clean(Readings(machine, np.array(day), np.array(value)), Swaps.none(), n, 20.0)


def test_each_pair_of_neighbours_makes_an_interval():
    found = use_intervals(life_lines([0.0, 10.0, 30.0], [5.0, 45.0, 45.0]))
    assert found.use.tolist() == [40.0, 0.0]
    assert found.days.tolist() == [10.0, 20.0]


def test_an_unrecorded_swap_makes_no_interval():
    found = use_intervals(life_lines([0, 10, 20, 30], [900.0, 940.0, 10.0, 50.0]))
    assert found.start.tolist() == [0, 20]


def test_thousands_of_readings_a_day_become_two_intervals_a_day():
    day = np.linspace(0.0, 3.0, 3001)
    found = use_intervals(life_lines(day, day * 4))
    assert found.machine.size <= 7
    assert found.use.sum() == pytest.approx(12.0)


def test_day_weights_count_the_days():
    weights = DayWeights(0, np.array([[1.0, 0.0, 0.0, 2.0]]))
    found = use_intervals(life_lines([0.5, 4.0], [0.0, 9.0]), weights)
    assert found.days.tolist() == pytest.approx([2.5])


def test_some_machines_can_be_taken_and_renumbered():
    lines = life_lines([0, 9, 0, 9, 0, 9], [0, 9, 0, 18, 0, 27.0], [0, 0, 1, 1, 2, 2], 3)
    found = use_intervals(lines).of(np.array([0, 2]))
    assert found.machine.tolist() == [0, 1]
    assert found.use.tolist() == [9.0, 27.0]
    assert found.n_machines == 2
