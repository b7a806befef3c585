"""The sentence and the choices, in the words of the trade."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.models import MeterKind
from fleet.quantities import MILE
from fleet.validation import (
    Face,
    MeterHistory,
    ReadingAnswer,
    ReadingContext,
    Seen,
    ShownReading,
    judge,
    say_verdict,
)

NOON = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)  # Monday noon in Denver
NOW = NOON + timedelta(days=3)
DENVER = ZoneInfo("America/Denver")
ANSWERS = (ReadingAnswer.MISTYPED, ReadingAnswer.SWAPPED, ReadingAnswer.REALLY_SO)


def said(value, days, *seen, face=None, kind=MeterKind.HOURS, event=""):
    face = face or Face(kind)
    known = MeterHistory([Seen(NOON + timedelta(days=d), v, event) for d, v in seen])
    shown = ShownReading(value, NOON + timedelta(days=days))
    place = ReadingContext("Q-12", kind, "us", DENVER, NOW)
    return say_verdict(judge(shown, face, known, NOW), shown, place)


def test_backwards():
    verdict = said(214.0, 2, (0, 412.0))
    assert verdict.sentence == (
        "Q-12 showed 412.0 h on Mon 2 Mar; 214.0 h would be 198 h back."
        " Mistyped, or was the meter swapped?"
    )
    assert verdict.choices == ANSWERS


def test_backwards_below_what_it_showed_when_fitted():
    verdict = said(1.0, 2, (0, 412.0), event="fitted")
    assert verdict.sentence.startswith(
        "Q-12 showed 412.0 h when its meter was fitted on Mon 2 Mar; 1.0 h"
    )


def test_backwards_against_a_later_reading():
    assert said(405.0, 1, (0, 400.0), (2, 402.0)).sentence == (
        "Q-12 showed 402.0 h on Wed 4 Mar; 405.0 h on Tue 3 Mar, before that, would be 3 h more."
        " Mistyped, a wrong date, or was the meter swapped?"
    )


def test_more_hours_than_the_clock_allows():
    verdict = said(450.0, 0.25, (0, 412.0))
    assert verdict.sentence == (
        "Q-12 showed 412.0 h on Mon 2 Mar, 12:00; 450.0 h on Mon 2 Mar, 18:00 would be 38 h of"
        " work in 6 h by the clock. Mistyped, a wrong date, or was the meter swapped?"
    )
    assert verdict.choices == ANSWERS


def test_an_odometer_that_outran_any_machine_names_the_speed():
    verdict = said(
        3000 * MILE,
        0.25,
        (0, 1000 * MILE),
        face=Face(MeterKind.DISTANCE, MILE),
        kind=MeterKind.DISTANCE,
    )
    assert "2,000 mi in 6 h: 333 mph day and night" in verdict.sentence
    assert "no more than 75 mph for 11 h a day can be right" in verdict.sentence


def test_a_slipped_point_offers_what_was_meant():
    verdict = said(4130.0, 2, (0, 412.0))
    assert verdict.sentence == (
        "Q-12 showed 412.0 h on Mon 2 Mar; 4,130.0 h would be 3,718 h more."
        " With the decimal point one place over it fits: was it 413.0 h?"
    )
    assert verdict.meant == 413.0
    assert verdict.choices == (ReadingAnswer.MEANT, *ANSWERS)


def test_minutes_for_hours():
    assert (
        "Read as minutes it fits: was it 24,780 minutes (413.0 h)?"
        in said(24_780.0, 2, (0, 412.0)).sentence
    )


def test_kilometres_for_miles():
    verdict = said(
        1640 * MILE,
        1,
        (0, 1000 * MILE),
        face=Face(MeterKind.DISTANCE, MILE),
        kind=MeterKind.DISTANCE,
    )
    assert "Read as km it fits: was it 1,640 km (1,019 mi)?" in verdict.sentence


def test_a_rollover_is_named_with_its_value():
    verdict = said(4.0, 2, (0, 9_990.0))
    assert "or did it roll over at 10,000.0 h?" in verdict.sentence
    assert ReadingAnswer.ROLLED_OVER in verdict.choices


@pytest.mark.parametrize(
    ("value", "days", "words", "choices"),
    [
        (412.0, 4, "Fri 6 Mar, 12:00 is in the future", (ReadingAnswer.MISTYPED,)),
        (412.0, 0, "Q-12 already has 412.0 h for Mon 2 Mar, 12:00; nothing was added.", ()),
        (
            413.0,
            0,
            "does it take the other's place?",
            (ReadingAnswer.MISTYPED, ReadingAnswer.REPLACES),
        ),
        (-1.0, 1, "a number from 0 up", (ReadingAnswer.MISTYPED,)),
    ],
)
def test_the_rest(value, days, words, choices):
    verdict = said(value, days, (0, 412.0))
    assert words in verdict.sentence
    assert verdict.choices == choices


def test_a_fine_reading_has_nothing_said():
    verdict = said(413.0, 1, (0, 412.0))
    assert verdict.fine
    assert verdict.sentence == ""
