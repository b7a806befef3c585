"""Readings taken with a hand-over: once for each form, and typed again as a correction."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.actions.correct_readings import Correction, correct_reading
from fleet.actions.take_readings import taken_and_made
from fleet.models import Reading
from fleet.queries.judge_readings import NewReading
from fleet.validation import ReadingAnswer


@dataclass(frozen=True)
class TypedReading:
    """What was typed for one meter, in stored units."""

    kind: str
    value: float
    answer: str = ""
    old_last: float | None = None
    new_first: float | None = None


def read_with_form(
    news: Sequence[NewReading], answers: Mapping[str, str], now: datetime
) -> list[Reading]:
    """Take the readings of a form that may come twice, one of each kind of meter.

    answers: kind of meter -> what a person answered to an odd reading.  The same form with the
    same value is the reading of the first time; with another value the person has put right what
    was typed, and the first stays on record beside it.

    Raises:
        ReadingRefused: with a verdict that offers the answers; what was taken before it, inside
            the caller's transaction, stays.

    """
    taken, made = taken_and_made(news, answers, now)
    return [
        _typed_again(row, new, answers.get(new.kind, ""), now) if new.form_key in made else row
        for row, new in zip(taken, news, strict=True)
    ]


def _typed_again(made: Reading, new: NewReading, answer: str, now: datetime) -> Reading:
    latest = _latest(made)
    if latest.value == new.value:
        return latest
    sure = answer == ReadingAnswer.REALLY_SO
    return correct_reading(
        Correction(reading=latest, value=new.value, by=new.by, note="typed again", sure=sure), now
    )


def _latest(reading: Reading) -> Reading:
    """Follow the corrections of a reading to the one that stands."""
    while later := Reading.objects.filter(corrects=reading).first():
        reading = later
    return reading
