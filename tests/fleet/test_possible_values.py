"""Values that cannot be are refused, odd ones asked about, all others let alone."""

from datetime import date

import pytest

from fleet.possible_values import (
    odd_capacity,
    odd_measurement,
    odd_minutes,
    odd_rate,
    odd_volume,
    odd_year,
)

TODAY = date(2026, 3, 2)
INF = float("inf")
REFUSED, ASKED, FINE = "refused", "asked", "fine"


def verdict(oddity):
    if oddity is None:
        return FINE
    assert oddity.sentence.endswith((".", "?"))
    assert oddity.impossible or oddity.short
    return REFUSED if oddity.impossible else ASKED


@pytest.mark.parametrize(
    ("value", "unit", "low", "high", "wanted"),
    [
        (-1, "mm", 3, None, REFUSED),  # a lining of -1 mm
        (380, "mm", 3, None, ASKED),  # a lining of 380 mm
        (30, "mm", 3, None, ASKED),  # ten times: a slipped point
        (29, "mm", 3, None, FINE),
        (0, "mm", 3, None, FINE),  # worn to nothing: bad, and possible
        (-5, "mm", -3, 3, FINE),  # a toe-in has two sides
        (-1, "", 3, None, ASKED),  # no unit: nobody knows what it is
        (-37, "°C", None, -34, FINE),  # a freezing point
        (37, "°C", None, -34, ASKED),  # its minus forgotten
        (-600, "°C", None, -34, ASKED),
        (5000, "psi", 200, 300, ASKED),
        (299, "psi", 200, 300, FINE),
        (INF, "psi", 200, 300, REFUSED),
        (5, "mm", None, 0, FINE),  # no play allowed, and some there
    ],
)
def test_what_is_measured_is_judged_by_its_limit(value, unit, low, high, wanted):
    assert verdict(odd_measurement(value, name="Lining", unit=unit, low=low, high=high)) == wanted


@pytest.mark.parametrize(
    ("used", "takes", "wanted"),
    [
        (25, 2.5, ASKED), (24, 2.5, ASKED), (3.75, 2.5, FINE), (0, 2.5, FINE), (-1, 2.5, REFUSED),
        (25, 0, FINE), (INF, 2.5, REFUSED),
    ],
)  # fmt: skip
def test_a_volume_is_judged_by_what_the_make_up_takes(used, takes, wanted):
    assert verdict(odd_volume(used, takes, name="engine oil", unit="qt")) == wanted


@pytest.mark.parametrize(("minutes", "wanted"), [(1440, FINE), (1441, REFUSED), (-1, REFUSED)])
def test_nobody_works_more_than_a_day_in_a_day(minutes, wanted):
    assert verdict(odd_minutes(minutes)) == wanted


@pytest.mark.parametrize(
    ("year", "first", "last", "wanted"),
    [
        (2027, None, None, FINE), (2028, None, None, REFUSED), (1899, None, None, REFUSED),
        (202, None, None, REFUSED), (2015, 2018, 2022, ASKED), (2023, 2018, 2022, ASKED),
        (2023, 2018, None, FINE), (2018, 2018, 2022, FINE),
    ],
)  # fmt: skip
def test_a_model_year_is_judged_by_calendar_and_make_up(year, first, last, wanted):
    assert verdict(odd_year(year, today=TODAY, first=first, last=last)) == wanted


def test_rates_are_never_below_zero_and_capacities_above_it():
    assert [verdict(odd_rate(rate)) for rate in (-0.01, 0, 95)] == [REFUSED, FINE, FINE]
    assert [verdict(odd_capacity(ml)) for ml in (-1, 0, 2400)] == [REFUSED, REFUSED, FINE]
