"""Due points in words, on unsaved rows.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from scheduling.due.due_words import (
    READ_THE_METER,
    due_point_words,
    forecast_words,
    remaining_words,
)
from scheduling.models import DuePoint, State
from tests.factories import TODAY

DAY = timedelta(days=1)


def point(**changes):
    return DuePoint(**{"state": State.CLEAR, "meter_kind": "hours", **changes})


@pytest.mark.parametrize(
    ("sides", "words"),
    [
        ({"due_life": 1240.0}, "at 1,240.0 h"),
        ({"due_day": TODAY + 9 * DAY}, "on Wed 11 Mar"),
        (
            {"due_life": 1240.0, "due_day": TODAY + 9 * DAY},
            "at 1,240.0 h or on Wed 11 Mar, whichever comes first",
        ),
        ({}, "at once"),
    ],
)
def test_a_due_point_names_its_sides(sides, words):
    assert due_point_words(point(**sides), "us", TODAY) == words


@pytest.mark.parametrize(
    ("remaining", "words"),
    [(23.0, "23 h to go"), (0.0, "0 h to go"), (-31.4, "31.4 h past"), (None, "")],
)
def test_what_is_left_on_the_meter(remaining, words):
    assert remaining_words(point(remaining=remaining), "us") == words


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (
            {"p10": TODAY + 3 * DAY, "p50": TODAY + 6 * DAY, "p90": TODAY + 15 * DAY},
            "Sun 8 Mar, in 6 days; between Thu 5 and Tue 17 Mar",
        ),
        # the calendar alone: a date without a range
        ({"p10": TODAY + DAY, "p50": TODAY + DAY, "p90": TODAY + DAY}, "Tue 3 Mar, tomorrow"),
        ({}, "beyond 120 days"),
        ({"p10": TODAY + 90 * DAY}, "beyond 120 days, not before Sun 31 May"),
        (
            {"p10": TODAY + 90 * DAY, "p50": TODAY + 100 * DAY},
            "Wed 10 Jun, in 3 months; not before Sun 31 May",
        ),
        ({"chance_due": 0.6, "remaining": 4.0, "p50": TODAY}, READ_THE_METER),
        # the refresh counts what is likely due as due; the words still say that nobody knows
        ({"chance_due": 0.6, "remaining": 4.0, "state": State.DUE}, READ_THE_METER),
        (
            {
                "chance_due": 0.6,
                "remaining": 4.0,
                "state": State.DUE,
                "life_now": 96.0,
                "opens_life": 90.0,
            },
            "due now",  # a reading has opened its window
        ),
        ({"chance_due": 0.6, "remaining": 4.0, "state": State.DUE, "opens_day": TODAY}, "due now"),
        ({"chance_due": 1.0, "remaining": 4.0, "state": State.DUE}, "due now"),  # found, or never
        # known to be due from the last reading: no need to read the meter
        ({"chance_due": 1.0, "remaining": -4.0, "state": State.DUE}, "due now"),
        ({"state": State.OVERDUE}, "overdue now"),
        ({"never_done": True}, "due at once: no record of it being done"),
    ],
)
def test_a_forecast_is_said_in_words_that_can_be_acted_on(facts, words):
    assert forecast_words(point(**facts), TODAY) == words
