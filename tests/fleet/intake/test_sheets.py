"""Cells of a workbook as they would be typed."""

from datetime import date, datetime, time, timedelta

import pytest

from fleet.intake.sheets import text_of

NOON = datetime(2026, 3, 2, 12, 0)  # noqa: DTZ001  a cell knows no zone


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        ("Q-12", "Q-12"),
        (412, "412"),
        (412.0, "412"),
        (412.5, "412.5"),
        (NOON, "2026-03-02 12:00:00"),
        (NOON - timedelta(microseconds=1), "2026-03-02 12:00:00"),  # fractions of days round off
        (NOON.replace(hour=0), "2026-03-02"),  # a day without a time
        (date(2026, 3, 2), "2026-03-02"),
        (time(14, 30), "14:30"),
    ],
)
def test_a_cell_as_it_would_be_typed(value, text):
    assert text_of(value) == text
