import numpy as np
import pytest

from scheduling.core.usage.life import life_line, running_max


def test_life_adds_the_steps_of_each_machine():
    machine = np.array([0, 0, 0, 1, 1])
    day = np.array([0.0, 5.0, 9.0, 100.0, 101.0])
    step = np.array([0.0, 10.0, 7.0, 0.0, 2.0])
    known = np.array([False, True, True, False, True])
    assert life_line(machine, day, step, known).tolist() == [0, 10, 17, 0, 2]


def test_an_unknown_step_counts_at_the_machines_own_rate():
    machine, day = np.zeros(4, dtype=int), np.array([0.0, 10.0, 20.0, 30.0])
    known = np.array([False, True, False, True])
    life = life_line(machine, day, np.array([0.0, 30.0, -500.0, 50.0]), known)
    assert life.tolist() == pytest.approx([0, 30, 70, 120])


def test_a_machine_without_a_known_step_borrows_the_fleets_rate():
    machine = np.array([0, 0, 1, 1])
    known = np.array([False, True, False, False])
    life = life_line(machine, np.array([0.0, 10.0, 0.0, 4.0]), np.array([0.0, 20, 0, -9]), known)
    assert life[3] == pytest.approx(8.0)


def test_life_never_falls_when_two_people_round():
    machine, day = np.zeros(4, dtype=int), np.arange(4.0)
    known = np.array([False, True, True, True])
    life = life_line(machine, day, np.array([0.0, 5.0, -0.1, 0.1]), known)
    assert life.tolist() == pytest.approx([0, 5, 5, 5])


def test_running_max_starts_anew_with_each_run():
    run, values = np.array([0, 0, 0, 1, 1]), np.array([3.0, 1.0, 4.0, 1.0, 0.5])
    assert running_max(run, values).tolist() == [3, 3, 4, 1, 1]
