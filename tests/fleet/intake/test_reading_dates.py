"""Dates and times as files and people write them."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.intake.reading_dates import parse_when

DENVER = ZoneInfo("America/Denver")  # UTC-7 in winter, UTC-6 from 8 March 2026, 02:00
NOW = datetime(2026, 3, 20, 12, 0, tzinfo=UTC)
HALF_PAST_TWO = datetime(2026, 3, 2, 21, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-02 14:30",
        "2026-03-02T14:30:00",
        "2026-03-02t14:30",
        "2026-03-02 2:30 PM",
        "2026-03-02T21:30:00Z",
        "2026-03-02T22:30+01:00",
        "2026-03-02 21:30:00.000 UTC",
        "2026/03/02 14:30",
        "2 Mar 2026 14:30",
        "Mon 2 Mar 2026, 14:30",
        "2-Mar-2026 14.30",
        "March 2, 2026 2:30pm",
        "02.03.2026 14:30",  # with points the day comes first
    ],
)
def test_one_moment_in_many_hands(text):
    when = parse_when(text, DENVER, NOW)
    assert when.at == HALF_PAST_TWO
    assert not when.day_only


@pytest.mark.parametrize("text", ["3/13/2026", "13/3/2026", "2026-3-13", "13. March 2026"])
def test_a_day_alone_is_its_noon(text):
    when = parse_when(text, DENVER, NOW)
    assert when.at.astimezone(DENVER) == datetime(2026, 3, 13, 12, 0, tzinfo=DENVER)
    assert when.day_only


def test_a_day_that_is_its_own_mirror_is_read():
    assert parse_when("3/3/2026", DENVER, NOW).at.day == 3


def test_today_is_put_at_its_start_while_noon_is_to_come():
    """05:00 in Denver on 20 March."""
    early = datetime(2026, 3, 20, 11, 0, tzinfo=UTC)
    assert parse_when("2026-03-20", DENVER, early).at == datetime(2026, 3, 20, 6, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "No date"),
        ("yesterday", "not a date"),
        ("3/2/2026", "can be 2026-03-02 or 2026-02-03"),
        ("3/25/26", "not a date"),  # which century, which order
        ("2026-02-30", "not a day of the calendar"),
        ("31/31/2026", "not a day of the calendar"),
        ("2 Mrz 2026", "not a month"),
        ("2026-03-02 25:00", "not a time"),
        ("2026-03-02 13:00 PM", "not a time"),
        ("2026-03-02 noon", "not a time"),
        ("2026-03-08 02:30", "never was: the clocks went forward"),  # 02:00 became 03:00
        ("46083.6", "not a date"),  # a spreadsheet's count of days
    ],
)
def test_what_is_no_moment_gets_a_sentence(text, word):
    with pytest.raises(ValueError, match=word):
        parse_when(text, DENVER, NOW)


def test_a_time_that_came_twice_is_its_first():
    """1 November 2026, 02:00 became 01:00: RFC 5545 section 3.3.5 takes the first."""
    when = parse_when("2026-11-01 01:30", DENVER, NOW)
    assert when.at == datetime(2026, 11, 1, 7, 30, tzinfo=UTC)


@given(st.integers(6 * 10**8, 37 * 10**8).map(lambda s: datetime.fromtimestamp(s, UTC)))
def test_what_we_write_reads_back(moment):
    assert parse_when(moment.isoformat(), DENVER, NOW).at == moment


@given(st.integers(0, 366 * 24 * 60 - 1))
def test_a_wall_clock_time_is_itself_or_refused_for_one_hour_a_year(minute):
    """All of 2026: only 8 March, 02:00 to 02:59 never was in Denver."""
    wall = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)
    skipped = (wall.month, wall.day, wall.hour) == (3, 8, 2)
    text = f"{wall:%Y-%m-%d %H:%M}"
    if skipped:
        with pytest.raises(ValueError, match="never was"):
            parse_when(text, DENVER, NOW)
    else:
        at = parse_when(text, DENVER, NOW).at
        assert f"{at.astimezone(DENVER):%Y-%m-%d %H:%M}" == text
