"""The figures of the page, counted by hand.  Today is Monday 2 March 2026."""

import pytest

from scheduling.hindsight.forecast_outcomes import load_outcomes
from scheduling.hindsight.range_coverage import count_came_true
from tests import factories as make
from tests.scheduling.hindsight.forecast_case import OPEN, TODAY, kept

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return make.Machine()


def counted(machine):
    shop = machine.yard.shop
    return count_came_true(shop, load_outcomes(shop, TODAY), TODAY)


def test_truths_are_counted_by_where_they_fell(machine):
    for truth, outcome in ((10, "earlier"), (30, "inside"), (44, "inside"), (60, "later")):
        kept(machine, make.Service(), truth=truth, outcome=outcome)
    found = counted(machine)["all"]
    assert (found["earlier"], found["inside"], found["later"]) == (1, 2, 1)


def test_ranges_without_an_end_are_not_counted_as_held_but_their_dates_are(machine):
    kept(machine, make.Service(), p90=None, truth=30, p50=40)
    found = counted(machine)["all"]
    assert (found["inside"], found["off"], found["forecasts"]) == (0, 10.0, 1)


def test_days_off_stand_beside_those_of_the_simple_average(machine):
    kept(machine, make.Service(), p50=30, simple=36, truth=32)
    kept(machine, make.Service(), p50=30, simple=20, truth=38)
    kept(machine, make.Service(), p50=30, simple=None, truth=90, outcome="later")  # not compared
    found = counted(machine)["all"]
    assert (found["off"], found["simple_off"], found["forecasts"]) == (5.0, 11.0, 2)


def test_months_and_classes_are_counted_apart(machine):
    other = make.Machine(yard=machine.yard)
    kept(machine, make.Service(), 130)  # 23 October 2025
    kept(other, make.Service(), 160, truth=90, outcome="later")  # 23 September 2025
    found = counted(machine)
    months = {first: counts for first, counts in found["months"] if counts["off"] is not None}
    assert list(months) == ["2025-09-01", "2025-10-01"]
    assert months["2025-09-01"]["later"] == 1
    names = [name for name, _ in found["classes"]]
    assert names == sorted([str(machine.makeup.machine_class), str(other.makeup.machine_class)])


def test_what_cannot_be_known_and_what_waits_is_said(machine):
    kept(machine, make.Service(), outcome="gap", truth=None)
    kept(machine, make.Service(), **OPEN)
    found = counted(machine)
    assert (found["uncounted"], found["waiting"]) == (1, 1)


def test_the_simple_average_gets_the_width_that_it_needs(machine):
    for truth in (20, 25, 30, 35, 40, 45, 50, 55, 60, 65):
        kept(machine, make.Service(), simple=40, truth=truth)
    found = counted(machine)["all"]
    assert found["width"] == 25.0
    assert found["simple_width"] == pytest.approx(60.5 - 24.5, abs=0.1)
