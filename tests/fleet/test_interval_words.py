"""Intervals in trade words, read and said."""

import pytest

from fleet.interval_words import Terms, parse_season, parse_terms, say_interval, say_terms
from fleet.models import Interval, MeterKind, Units
from fleet.quantities import MILE

HOURS, DISTANCE = MeterKind.HOURS, MeterKind.DISTANCE


@pytest.mark.parametrize(
    ("text", "terms"),
    [
        ("100 h", Terms(100.0, HOURS)),
        ("100", Terms(100.0, HOURS)),  # the only meter
        ("every 100 hours or 12 months, whichever comes first", Terms(100.0, HOURS, 12)),
        ("100h / 12 months".replace("/", "or"), Terms(100.0, HOURS, 12)),
        ("1,000 h", Terms(1000.0, HOURS)),
        ("2 years", Terms(months=24)),
        ("6 weeks", Terms(days=42)),
        ("0.5 years", Terms(months=6)),
        ("10 h; 14 days", Terms(10.0, HOURS, None, 14)),
        ("10 %", Terms(percent=10.0)),
        ("10 percent", Terms(percent=10.0)),
        ("", Terms()),
    ],
)
def test_terms_are_read_as_people_write_them(text, terms):
    assert parse_terms(text, [HOURS], Units.US) == terms


def test_miles_and_kilometres_are_stored_as_metres():
    assert parse_terms("3,000 mi", [HOURS, DISTANCE], Units.US).on_meter == 3000 * MILE
    assert parse_terms("5000", [DISTANCE], Units.METRIC) == Terms(5_000_000.0, DISTANCE)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("100", "has no unit"),  # hours or miles?
        ("100 furlongs", "not a unit we know"),
        ("soon", "cannot be read"),
        ("0 h", "more than zero"),
        ("100 cycles", "carry no cycle counter"),
        ("100 h or 200 h", "two things of one sort"),
        ("1 month or 10 days", "months or days"),
        ("1.3 months", "not a whole number"),
        ("900 months", "more than 50 years"),
    ],
)
def test_what_cannot_be_meant_is_said(text, said):
    with pytest.raises(ValueError, match=said):
        parse_terms(text, [HOURS, DISTANCE], Units.US)


@pytest.mark.parametrize("text", ["100 h or 12 months", "1,500 mi", "30 days", "10 h or 10 %"])
def test_what_is_said_can_be_typed_again(text):
    terms = parse_terms(text, [HOURS, DISTANCE], Units.US)
    assert say_terms(terms, Units.US) == text


@pytest.mark.parametrize("text", ["15 Nov", "by 15 November", "Nov 15"])
def test_a_season_is_a_day_of_each_year(text):
    assert parse_season(text) == (11, 15)


@pytest.mark.parametrize("text", ["31 Feb", "Nov", "15/11", "0 May"])
def test_what_is_no_day_of_the_year_is_said(text):
    with pytest.raises(ValueError, match="day of the"):
        parse_season(text)


def test_the_whole_is_one_sentence():
    row = Interval(
        meter_kind=HOURS, every=100.0, every_months=12, first_at=20.0, late=10.0, hard=True
    )
    assert say_interval(row, Units.US) == (
        "every 100 h or 12 months, whichever comes first; first at 20 h; may be 10 h late;"
        " a hard limit: past it the machine may not go out"
    )
    season = Interval(season_month=11, season_day=15, late_days=14)
    assert say_interval(season, Units.US) == "by 15 Nov each year; may be 14 days late"
