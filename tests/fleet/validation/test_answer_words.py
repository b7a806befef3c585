"""Answers in the words of a button."""

from datetime import UTC, datetime

from fleet.models import MeterKind
from fleet.validation import ReadingAnswer, ReadingContext, ReadingReason, ReadingVerdict
from fleet.validation.answer_words import offered

PLACE = ReadingContext("Q-12", MeterKind.HOURS, "us", UTC, datetime(2026, 3, 2, tzinfo=UTC))


def test_what_was_meant_is_named_and_typing_again_needs_no_button():
    verdict = ReadingVerdict(
        ReadingReason.SLIPPED_POINT, "?", (ReadingAnswer.MEANT, ReadingAnswer.MISTYPED), 413.0
    )
    assert offered(verdict, PLACE) == [("meant", "It shows 413.0 h")]


def test_every_answer_but_mistyped_has_words():
    verdict = ReadingVerdict(ReadingReason.BACKWARDS, "?", tuple(ReadingAnswer), 413.0)
    assert {answer for answer, _ in offered(verdict, PLACE)} == set(ReadingAnswer) - {
        ReadingAnswer.MISTYPED
    }
