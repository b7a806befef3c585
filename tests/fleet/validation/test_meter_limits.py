"""How far a meter can go in a time."""

from datetime import timedelta

import pytest

from fleet.validation.meter_limits import LIMITS


@pytest.mark.parametrize(
    ("kind", "hours", "most"),
    [
        ("hours", 1, 1.0),
        ("hours", 48, 48.0),
        ("distance", 1, 120_000.0),
        ("distance", 24, 11 * 120_000.0),  # eleven hours at the wheel
        ("distance", 25, 12 * 120_000.0),
        ("cycles", 1, 3600.0),
        ("hours", -5, 0.0),  # a time that ran backwards gives nothing
    ],
)
def test_the_most_a_meter_can_go(kind, hours, most):
    assert LIMITS[kind].most(timedelta(hours=hours)) == most
