"""Measured values: a number with or without its unit; a wrong unit is named."""

import pytest

from fleet.measured_values import parse_measured


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("2.5", "mm", 2.5),
        ("2,5 mm", "mm", 2.5),
        ("-37.5", "°C", -37.5),
        ("− 37,5 °C", "°C", -37.5),
        ("0.1 in", "mm", 2.54),  # the inch is 25.4 mm exactly (NIST SP 811, appendix B)
        ("2 bar", "kPa", 200.0),
        ("96 %", "%", 96.0),
        ("1204", "", 1204.0),
    ],
)
def test_a_value_is_read_in_the_unit_of_its_limit(text, unit, value):
    assert parse_measured(text, unit) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "unit", "sentence"),
    [
        ("32 psi", "mm", "“psi” is the wrong unit here: it is measured in mm"),
        ("32 mm", "", "“mm” is the wrong unit here: it has no unit"),
        ("10 °F", "°C", "“°F” is the wrong unit here"),
        ("high", "mm", "“high” is not a number"),
        ("", "mm", "is not a number"),
    ],
)
def test_a_wrong_unit_is_named_and_what_is_no_number_too(text, unit, sentence):
    with pytest.raises(ValueError, match=sentence):
        parse_measured(text, unit)
