"""Seasons that owners state.  Today is Monday 2 March 2026."""

from datetime import date

import numpy as np
import pytest

from scheduling.facts.load_facts import load_use
from scheduling.facts.scope import Scope
from scheduling.facts.stated_seasons import StatedSeason, days_of_year, season_weights
from scheduling.facts.yard_days import day_number
from tests import factories as make
from tests.scheduling.cases import NOW


def covered(first, last, day):
    season = StatedSeason("haying", 2.0, first, last)
    return bool(season.covers(days_of_year(day_number(day), 1))[0])


@pytest.mark.parametrize(
    ("first", "last", "day", "inside"),
    [
        (612, 828, date(2026, 6, 11), False),
        (612, 828, date(2026, 6, 12), True),  # both ends belong to it
        (612, 828, date(2026, 8, 28), True),
        (612, 828, date(2026, 8, 29), False),
        (1220, 106, date(2026, 12, 31), True),  # over new year
        (1220, 106, date(2027, 1, 6), True),
        (1220, 106, date(2027, 1, 7), False),
        (1201, 229, date(2028, 2, 29), True),  # a leap year
        (1201, 229, date(2027, 2, 28), True),
        (1201, 229, date(2027, 3, 1), False),
        (229, 310, date(2027, 2, 28), False),  # begins on 1 March in a common year
        (229, 310, date(2027, 3, 1), True),
        (704, 704, date(2026, 7, 4), True),  # a single day
    ],
)
def test_days_of_a_season(first, last, day, inside):
    assert covered(first, last, day) == inside


def test_days_of_the_year_run_over_its_end():
    assert days_of_year(day_number(date(2027, 12, 30)), 4).tolist() == [1230, 1231, 101, 102]


@pytest.fixture
def machine(db):
    machine = make.Machine()
    make.Meter(machine=machine)
    return machine


def weights(machine, first=0, count=10):
    facts = load_use(Scope.of(machine.yard.shop_id), NOW)
    rows = np.arange(len(facts.machines))
    return season_weights(facts.seasons, facts.machines, rows, first, count)


def test_no_season_no_weights(machine):
    assert weights(machine) is None


def test_a_season_of_all_machines_needs_one_row(machine):
    make.Machine(yard=machine.yard)
    make.SeasonWeight(first_month=3, first_day=4, last_month=3, last_day=6, weight=2)
    assert weights(machine).tolist() == [[1, 1, 2, 2, 2, 1, 1, 1, 1, 1]]


@pytest.mark.parametrize("narrowed", ["yard", "machine_class", "makeup"])
def test_a_season_means_those_machines_alone(machine, narrowed):
    make.Machine(yard__shop=machine.yard.shop)
    of = {"yard": machine.yard, "machine_class": machine.makeup.machine_class,
          "makeup": machine.makeup}  # fmt: skip
    make.SeasonWeight(weight=0.5, **{narrowed: of[narrowed]})
    assert weights(machine, count=2).tolist() == [[0.5, 0.5], [1, 1]]


def test_narrowed_twice_both_must_fit(machine):
    make.SeasonWeight(yard=machine.yard, machine_class=make.MachineClass())
    assert weights(machine) is None


def test_seasons_that_overlap_multiply_to_five_at_most(machine):
    make.SeasonWeight(weight=2)
    make.SeasonWeight(weight=1.5)
    assert weights(machine, count=1).tolist() == [[3.0]]
    make.SeasonWeight(weight=4)
    assert weights(machine, count=1).tolist() == [[5.0]]


def test_another_shops_yard_is_left_out(machine):
    make.SeasonWeight(yard=make.Yard())
    assert load_use(Scope.of(machine.yard.shop_id), NOW).seasons == []
