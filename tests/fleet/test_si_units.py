"""Values in units of the SI, with the unit that somebody wrote beside them."""

import pytest

from fleet.si_units import in_si


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        (32.0, "psi", (220.632224, "kPa")),
        (2.5, "bar", (250.0, "kPa")),
        (0.5, "in", (12.7, "mm")),
        (20.0, "ft lb", (27.11636, "N m")),
        (385.0, "N·m", (385.0, "N m")),
        (212.0, "°F", (100.0, "°C")),
        (-40.0, "°F", (-40.0, "°C")),
        (1.0, "MΩ", (1.0, "MΩ")),
        (12.0, "V", (12.0, "V")),
        (10.0, "mi", (16.09344, "km")),
        (3.0, "notches", (None, "")),
        (3.0, "", (None, "")),
        (None, "psi", (None, "")),
        (0.0, "bar", (0.0, "kPa")),
    ],
)
def test_a_value_is_turned_or_left_out(value, unit, told):
    assert in_si(value, unit) == told
