"""Answers in the words of a button."""

from datetime import UTC, datetime

from fleet.door import Answer, Place, Reason, Verdict
from fleet.door.answers import offered
from fleet.models import MeterKind

PLACE = Place("Q-12", MeterKind.HOURS, "us", UTC, datetime(2026, 3, 2, tzinfo=UTC))


def test_what_was_meant_is_named_and_typing_again_needs_no_button():
    verdict = Verdict(Reason.SLIPPED_POINT, "?", (Answer.MEANT, Answer.MISTYPED), 413.0)
    assert offered(verdict, PLACE) == [("meant", "It shows 413.0 h")]


def test_every_answer_but_mistyped_has_words():
    verdict = Verdict(Reason.BACKWARDS, "?", tuple(Answer), 413.0)
    assert {answer for answer, _ in offered(verdict, PLACE)} == set(Answer) - {Answer.MISTYPED}
