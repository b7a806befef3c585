"""Published conversions: STD-08 (definitions), STD-09 and STD-10 (US Army manuals)."""

import pytest

from fleet.quantities import GALLON, KILOMETRE, MILE, QUART, show_use, show_volume
from tests.vectors.published import vector

SIZES = {
    ("US qt", "mL"): QUART,
    ("US qt", "L"): QUART / 1000,
    ("US gal", "L"): GALLON / 1000,
    ("mile", "km"): MILE / KILOMETRE,
}


def test_the_factors_are_exact():
    given, expected = vector("STD-08")
    for (number, unit, to), value in zip(given["convert"], expected["value"], strict=True):
        assert number * SIZES[unit, to] == pytest.approx(value, rel=1e-15)


def test_quarts_of_a_lubrication_table_in_litres():
    """TM 5-2420-231-23-2 prints 12.7 qt as 12 L."""
    given, expected = vector("STD-09")
    number, unit, to = given["convert"]
    assert number * SIZES[unit, to] == pytest.approx(expected["exact"], abs=5e-5)
    assert show_volume(number * QUART, "metric") == f"{expected['rounded']} L"


def test_miles_of_an_interval_in_kilometres():
    """TM 9-2320-365-20-5 prints 4,827 km: it multiplied by 1.609; the exact factor gives 4,828."""
    given, expected = vector("STD-10")
    number, unit, to = given["convert"]
    assert number * SIZES[unit, to] == pytest.approx(expected["exact"])
    assert show_use(number * MILE, "distance", "metric") == "4,828 km"
    assert expected["printed"] != 4828
