"""Small and odd fleets, a short form of the table that `odd_fleets` prints."""

import numpy as np
import pytest

from tests.benchmarks.odd_fleets import judged, needed_width, score
from tests.benchmarks.odd_kinds import KINDS, odd_fleet


@pytest.mark.parametrize("machines", [5, 15])
def test_a_few_steady_machines_are_told_as_well_as_by_their_average_and_narrowly(machines):
    found = score("steady", machines, fleets=30 // machines)
    assert found.off <= 1.3 * found.simple
    assert 0.75 <= found.held <= 0.95
    assert found.width <= 2 * found.needed


@pytest.mark.parametrize("machines", [20])
def test_machines_with_nearly_the_same_use_are_told_within_a_day_or_two(machines):
    found = score("alike", machines, fleets=1)
    assert found.off <= 2
    assert found.held >= 0.75


def test_a_ranch_of_fifteen_is_told_by_its_months():
    found = score("ranch", 15, fleets=2)
    assert found.off < found.simple / 3
    assert found.held >= 0.75


@pytest.mark.parametrize("machines", [5, 15])
def test_a_ranch_before_its_first_summer_expects_that_one_may_come(machines):
    found = score("unseen summer", machines, fleets=45 // machines)
    assert found.off < found.simple / 2
    assert found.held >= 0.7


@pytest.mark.parametrize("name", KINDS)
def test_what_is_known_ends_before_the_question_and_the_answer_lies_after_it(name):
    fleet = odd_fleet(name, 5, 1)
    origin = fleet.tasks[0].origin
    assert all(t < origin for machine in fleet.known.values() for t, _ in machine.readings)
    assert all(0 <= task.truth <= 120 for task in fleet.tasks)
    assert (fleet.use.use <= 24).all()


def test_figures_are_those_of_answers_counted_by_hand():
    days = np.array([[5.0, 10, 15], [20, 30, 40], [0, 10, 20], [30, 60, np.inf]])
    truth, simple = np.array([12.0, 41, 10, 22]), np.array([10.0, 31, 10, 52])
    found = judged(days, simple, truth)
    assert found.off == (2 + 11 + 0 + 38) / 4
    assert found.simple == (2 + 10 + 0 + 30) / 4
    # the first two ranges alone can be missed on both sides
    assert (found.width, found.held, found.too_early) == (15, 0.5, 0.25)


def test_the_width_that_was_needed_leaves_a_tenth_out_on_either_side():
    middle = np.repeat([10.0, 30, 50, 70], 101)
    truth = middle + np.tile(np.arange(101.0) - 50, 4)
    assert needed_width(middle, truth) == pytest.approx(80)
