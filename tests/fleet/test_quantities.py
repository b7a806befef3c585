"""Quantities in the yard's units, and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet import quantities
from fleet.models import Units
from fleet.quantities import (
    QUART,
    parse_use,
    parse_volume,
    plain_use,
    show_step,
    show_use,
    show_volume,
)


@pytest.mark.parametrize(
    ("value", "kind", "units", "shown"),
    [
        (23.44, "hours", "us", "23.4 h"),
        (1234.0, "hours", "metric", "1,234.0 h"),
        (1_937_650.0, "distance", "us", "1,204 mi"),
        (1_204_000.0, "distance", "metric", "1,204 km"),
        (318.0, "cycles", "us", "318 cycles"),
        (-0.01, "hours", "us", "0.0 h"),  # no minus before a zero
    ],
)
def test_use_is_shown_in_the_yards_units(value, kind, units, shown):
    assert show_use(value, kind, units) == shown


def test_a_whole_difference_is_shown_whole():
    assert show_step(198.0, "hours", "us") == "198 h"
    assert show_step(0.4, "hours", "us") == "0.4 h"


@pytest.mark.parametrize(
    ("millilitres", "units", "shown"),
    [
        (3312.235, "us", "3.5 qt"),
        (3312.235, "metric", "3.3 L"),
        (60_000, "us", "15.9 gal"),
        (50, "metric", "50 mL"),
        (50, "us", "1.7 fl oz"),
    ],
)
def test_volume_is_shown_in_the_yards_units(millilitres, units, shown):
    assert show_volume(millilitres, units) == shown


@pytest.mark.parametrize(
    ("text", "kind", "units", "value"),
    [
        ("412.5", "hours", "us", 412.5),
        ("412.5 h", "hours", "us", 412.5),
        ("90 min", "hours", "us", 1.5),
        ("1,204", "distance", "us", 1204 * 1609.344),
        ("1204 km", "distance", "us", 1_204_000),
        ("10 mi", "distance", "metric", 16093.44),
        ("31 cycles", "cycles", "metric", 31),
    ],
)
def test_use_is_read_with_and_without_its_unit(text, kind, units, value):
    assert parse_use(text, kind, units) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "word"),
    [
        ("", "hours", "No reading"),
        ("abc", "hours", "not a number"),
        ("412 mi", "hours", "not a unit of an hour meter"),  # the wrong meter
        ("412 h", "distance", "not a unit of an odometer"),
        ("412 mi", "cycles", "not a unit of a cycle counter"),
        ("-3", "hours", "below zero"),
    ],
)
def test_what_cannot_be_a_reading_gets_a_sentence(text, kind, word):
    with pytest.raises(ValueError, match=word):
        parse_use(text, kind, "us")


@given(
    st.integers(0, 10**9),
    st.sampled_from(["hours", "distance", "cycles"]),
    st.sampled_from(["us", "metric"]),
)
def test_what_stands_in_a_field_reads_back_the_same(thousandths, kind, units):
    text = plain_use(thousandths / 1000 * quantities.unit_size(kind, units), kind, units)
    read = parse_use(text, kind, units) / quantities.unit_size(kind, units)
    assert read == pytest.approx(thousandths / 1000, abs=6e-4)


@pytest.mark.parametrize(
    ("text", "units", "millilitres"),
    [
        ("2.5", Units.US, 2.5 * QUART),
        ("2.5 qt", Units.METRIC, 2.5 * QUART),
        ("1 gal", Units.US, 4 * QUART),
        ("6", Units.METRIC, 6000.0),
        ("6,5 L", Units.METRIC, 6500.0),
        ("800 ml", Units.US, 800.0),
    ],
)
def test_a_volume_is_read_with_or_without_its_unit(text, units, millilitres):
    assert parse_volume(text, units) == pytest.approx(millilitres)


@pytest.mark.parametrize(
    ("text", "said"),
    [("2 buckets", "not a unit of volume"), ("much", "not a number"), ("-1", "below zero")],
)
def test_what_is_no_volume_is_said(text, said):
    with pytest.raises(ValueError, match=said):
        parse_volume(text, Units.US)
