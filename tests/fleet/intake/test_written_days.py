"""Days and times of day as people write them; today is Monday, 2 March 2026."""

from datetime import date, time

import pytest

from fleet.intake.written_days import parse_clock, parse_day
from tests.factories import TODAY


@pytest.mark.parametrize(
    ("text", "month_first", "day"),
    [
        ("2026-02-14", True, date(2026, 2, 14)),
        ("14 Feb 2026", True, date(2026, 2, 14)),
        ("Feb 14, 2026", False, date(2026, 2, 14)),
        ("3/1/2026", True, date(2026, 3, 1)),
        ("3/1/2026", False, date(2026, 1, 3)),
        ("3.1.2026", True, date(2026, 1, 3)),  # with points the day comes first
        ("1/25/26", False, date(2026, 1, 25)),  # only one of them can be the month
        ("25/1/26", True, date(2026, 1, 25)),
        ("14 Feb 25", True, date(2025, 2, 14)),
        ("3/1/99", True, date(1999, 3, 1)),
        ("14 Feb", True, date(2026, 2, 14)),  # this year's
        ("14 Nov", True, date(2025, 11, 14)),  # last year's: this year's is still to come
        ("November 14", True, date(2025, 11, 14)),
        ("3/3", True, date(2025, 3, 3)),
        ("29 Feb", True, date(2024, 2, 29)),
        ("today", True, TODAY),
        ("Yesterday", True, date(2026, 3, 1)),
    ],
)
def test_a_day_is_read_as_the_yard_means_it(text, month_first, day):
    assert parse_day(text, TODAY, month_first=month_first) == day


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("31 Feb", "not a day of the calendar"),
        ("13/13/2026", "not a day of the calendar"),
        ("14 Foo", "is not a month"),
        ("last summer", "is not a date"),
        ("", "No date is given"),
    ],
)
def test_what_is_no_day_is_said(text, words):
    with pytest.raises(ValueError, match=words):
        parse_day(text, TODAY, month_first=True)


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("17:00", time(17)),
        ("17.00", time(17)),
        ("5:00 pm", time(17)),
        ("5pm", time(17)),
        ("5 PM", time(17)),
        ("5:30 p.m.", time(17, 30)),
        ("12 am", time(0)),
        ("12:15 pm", time(12, 15)),
        ("7", time(7)),
        ("0730", time(7, 30)),
        ("7h30", time(7, 30)),
        ("07:30:00", time(7, 30)),
        ("noon", time(12)),
    ],
)
def test_a_time_is_read_as_people_write_it(text, clock):
    assert parse_clock(text) == clock


@pytest.mark.parametrize("text", ["25:00", "17:75", "13 pm", "0 am", "late", "", "5:0"])
def test_what_is_no_time_is_said(text):
    with pytest.raises(ValueError, match="is not a time of day"):
        parse_clock(text)
