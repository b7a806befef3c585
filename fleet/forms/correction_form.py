"""The form that puts a reading right, or strikes it out."""

from dataclasses import dataclass, field
from datetime import datetime

from django.http import QueryDict

from fleet.actions.correct_readings import Correction
from fleet.actions.put_readings_right import put_reading_right, strike_reading_out
from fleet.intake.reading_dates import parse_when
from fleet.models import Person, Reading
from fleet.quantities import parse_use, plain_use
from fleet.queries.judge_readings import ReadingRefused
from fleet.refusal import Refusal
from fleet.validation.answer_words import offered
from fleet.validation.reasons import ReadingAnswer

STRIKE = "strike"


@dataclass
class Mended:
    """A reading with the texts that stand in its form, and what was said to them."""

    reading: Reading
    value: str
    when: str
    note: str = ""
    sentence: str = ""
    wrong: str = ""
    choices: list[tuple[str, str]] = field(default_factory=list)


def as_it_stands(reading: Reading) -> Mended:
    """Return a reading's form as it opens."""
    yard = reading.meter.machine.yard
    local = reading.read_at.astimezone(yard.zone)
    return Mended(
        reading,
        plain_use(reading.value, reading.meter.kind, yard.units),
        f"{local:%Y-%m-%dT%H:%M}",
    )


def put_right(reading: Reading, typed: QueryDict, by: Person, now: datetime) -> Mended:
    """Correct or strike out a reading; what cannot be is said at its field."""
    form = as_it_stands(reading)
    unmoved = form.when
    form.value, form.when = typed.get("value", form.value), typed.get("when", form.when)
    form.note = typed.get("note", "")
    try:
        if typed.get("answer") == STRIKE:
            strike_reading_out(reading, why=form.note[:200], by=by, now=now)
        else:
            moved = form.when != unmoved
            put_reading_right(_correction(form, typed, by, now, moved=moved), now)
    except ReadingRefused as no:
        form.sentence, form.wrong = no.sentence, "value"
        told = offered(no.verdict, no.new.place(now))
        form.choices = [choice for choice in told if choice[0] == ReadingAnswer.REALLY_SO]
    except Refusal as no:
        form.sentence, form.wrong = no.sentence, "note" if no.field == "why" else no.field
    except ValueError as no:
        form.sentence, form.wrong = str(no), "value"
    return form


def _correction(
    form: Mended, typed: QueryDict, by: Person, now: datetime, *, moved: bool
) -> Correction:
    meter, yard = form.reading.meter, form.reading.meter.machine.yard
    return Correction(
        reading=form.reading,
        value=parse_use(form.value, meter.kind, yard.units),
        # the form knows minutes alone, so a time left as it was is the time to the second
        read_at=parse_when(form.when, yard.zone, now).at if moved else None,
        by=by,
        note=form.note.strip()[:200],
        sure=typed.get("answer") == ReadingAnswer.REALLY_SO,
    )
