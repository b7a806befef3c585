"""Dates, spans, money and counts in words.  25 November 2026 is a Wednesday."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from fleet import saying

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 12, 3), "Thu 3 Dec, in 8 days"),
        (TODAY, "Wed 25 Nov, today"),
        (date(2026, 11, 26), "Thu 26 Nov, tomorrow"),
        (date(2026, 11, 24), "Tue 24 Nov, yesterday"),
        (date(2026, 11, 17), "Tue 17 Nov, 8 days ago"),
        (date(2027, 1, 4), "Mon 4 Jan 2027, in 40 days"),  # another year is named
        (date(2026, 8, 6), "Thu 6 Aug, 4 months ago"),
        (date(2024, 8, 1), "Thu 1 Aug 2024, 2 years ago"),
        (date(2024, 11, 26), "Tue 26 Nov 2024, 24 months ago"),
        (date(2020, 3, 2), "Mon 2 Mar 2020, 6 years ago"),  # seven only in March
        (date(2019, 11, 25), "Mon 25 Nov 2019, 7 years ago"),
        (date(2029, 11, 24), "Sat 24 Nov 2029, in 2 years"),
    ],
)
def test_a_date_is_said_with_its_distance(day, words):
    assert saying.say_date(day, TODAY) == words


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 12, 3), date(2026, 12, 15), "between Thu 3 and Tue 15 Dec"),
        (date(2026, 11, 30), date(2026, 12, 15), "between Mon 30 Nov and Tue 15 Dec"),
        (date(2026, 12, 30), date(2027, 1, 2), "between Wed 30 Dec and Sat 2 Jan 2027"),
        (date(2026, 12, 3), date(2026, 12, 3), "on Thu 3 Dec"),
        (date(2026, 12, 3), None, "not before Thu 3 Dec"),
    ],
)
def test_a_range_is_said_once(first, last, words):
    assert saying.say_range(first, last, TODAY) == words


def test_a_moment_is_said_in_the_time_of_the_place():
    late = datetime(2026, 11, 26, 2, 30, tzinfo=UTC)
    assert saying.say_moment(late, ZoneInfo("America/Denver"), TODAY) == "Wed 25 Nov, 19:30"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (45, "45 min"), (120, "2 h"), (135, "2 h 15 min"), (59.7, "1 h")],
)
def test_minutes_are_said_as_hours_and_minutes(minutes, words):
    assert saying.say_minutes(minutes) == words


@pytest.mark.parametrize(
    ("amount", "words"),
    [(3.2, "$3.20"), (999.99, "$999.99"), (1234.5, "$1,234"), (-12, "−$12.00")],
)
def test_money_drops_cents_from_a_thousand_on(amount, words):
    assert saying.say_money(amount) == words


@pytest.mark.parametrize(
    ("number", "words"), [(0, "0 machines"), (1, "1 machine"), (1200, "1,200 machines")]
)
def test_counts_take_the_plural(number, words):
    assert saying.counted(number, "machine") == words


@pytest.mark.parametrize(
    ("words", "sentence"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_words_are_joined_as_in_speech(words, sentence):
    assert saying.joined(words) == sentence


def test_a_number_stays_on_one_line_with_its_unit():
    assert saying.unbroken("overdue by 42 h of 3 jobs") == "overdue by 42\u00a0h of 3 jobs"


def test_percent_is_said_with_a_space():
    assert (saying.say_percent(0.934), saying.say_percent(0.0314, 1)) == ("93 %", "3.1 %")


def test_a_span_of_one_day_is_said_once():
    first, last = date(2026, 3, 5), date(2026, 3, 7)
    assert saying.say_span(first, last, first) == "Thu 5 Mar to Sat 7 Mar"
    assert saying.say_span(first, first, first) == "Thu 5 Mar"
