import numpy as np
import pytest

from scheduling.facts.fittings import chain_bases

NAN = np.nan


def chain(machine, kind, first, at_fitting, last):
    n = len(machine)
    columns = [np.array(column, dtype=float) for column in (first, at_fitting, last)]
    return chain_bases(
        np.arange(10, 10 + n), np.array(machine), np.array(kind), np.arange(float(n)), columns
    )


def test_life_runs_on_through_the_meters_of_a_machine():
    """base(next) = base(previous) + last - first, as in the docstring of the meters."""
    found = chain([0, 0, 0], ["hours"] * 3, [20, 0, 5], [NAN] * 3, [320, 95, NAN])
    assert found.base.tolist() == [20, 320, 415]


def test_known_life_at_the_first_fitting_is_where_it_begins():
    found = chain([0, 0], ["hours"] * 2, [0, 0], [1200, NAN], [300, NAN])
    assert found.base.tolist() == [1200, 1500]


def test_machines_and_kinds_stand_apart():
    found = chain([0, 0, 1], ["cycles", "hours", "hours"], [7, 8, 9], [NAN] * 3, [50, 60, NAN])
    assert found.base.tolist() == [7, 8, 9]


@pytest.mark.parametrize("last", [NAN, 3])
def test_last_value_that_is_not_noted_or_falls_adds_nothing(last):
    found = chain([0, 0], ["hours"] * 2, [10, 0], [NAN] * 2, [last, NAN])
    assert found.base.tolist() == [10, 10]


def test_rows_are_found_by_key():
    found = chain([0, 1], ["hours"] * 2, [0, 0], [NAN] * 2, [NAN] * 2)
    rows, known = found.rows(np.array([11, 99, 10]))
    assert rows[known].tolist() == [1, 0]
    assert known.tolist() == [True, False, True]


def test_no_meters():
    found = chain([], [], [], [], [])
    assert found.base.size == 0
    assert found.rows(np.array([1]))[1].tolist() == [False]
