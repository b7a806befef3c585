"""Measured values: a number or a fraction, with its unit or without; a wrong one is named."""

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
        ("4/32", "mm", 3.175),  # of an inch: 4 x 25.4 / 32
        ("4/32 in", "mm", 3.175),
        ("3 1/2 in", "mm", 88.9),
        ("3-1/2", "in", 3.5),
        ("3½ in.", "in", 3.5),
        ("½", "psi", 0.5),
        ("- 1/8 in", "mm", -3.175),
        ("94 dB", "dB(A)", 94.0),
        ("94 dBA", "dB(A)", 94.0),
        ("-37 °C", "°F", -34.6),  # 1.8 x -37 + 32
        ("10 °F", "°C", -12.2222222),
        ("20 C", "°F", 68.0),
        ("20 degrees C", "°F", 68.0),
        ("500 kΩ", "MΩ", 0.5),
        ("12 V", "V", 12.0),
        ("10 ft·lb", "N m", 13.55818),
    ],
)
def test_a_value_is_read_in_the_unit_of_its_limit(text, unit, value):
    assert parse_measured(text, unit) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "unit", "sentence"),
    [
        ("32 psi", "mm", "“psi” is the wrong unit here: it is measured in mm"),
        ("32 mm", "", "“mm” is the wrong unit here: it has no unit"),
        ("10 °F", "psi", "“°F” is the wrong unit here"),
        ("94 dB", "°C", "“dB” is the wrong unit here"),
        ("3 1/2", "mm", "“3 1/2” may be inches or mm; write the unit with it"),
        ("3/0 in", "mm", "is not a number"),
        ("1/2/3", "mm", "is not a number"),
        ("high", "mm", "“high” is not a number"),
        ("", "mm", "is not a number"),
    ],
)
def test_a_wrong_unit_is_named_and_what_is_no_number_too(text, unit, sentence):
    with pytest.raises(ValueError, match=sentence):
        parse_measured(text, unit)
