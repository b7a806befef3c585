"""One line of the meter round: a meter, what was typed for it, what became of it."""

from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256

from django.http import QueryDict

from fleet.actions.mend_readings import RefusedRow, keep_to_mend
from fleet.actions.read_on_round import read_on_round
from fleet.actions.take_readings import (
    NewReading,
    ReadingRefused,
    check_reading,
)
from fleet.intake.reading_dates import parse_when
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import RowConventions
from fleet.models import Person, Reading, Source
from fleet.queries.dials import Dial
from fleet.refusal import Refusal
from fleet.validation import ReadingContext, ReadingReason
from fleet.validation.answer_words import offered
from fleet.validation.reasons import ReadingAnswer

ASIDE = "aside"
"""The answer of a person who cannot tell now: the reading is kept to be mended."""


@dataclass(frozen=True)
class RoundTerms:
    """What holds for all lines of a round: who reads, when, and the key of the page.

    at: when it was typed, of what waited on a phone for a signal; None: now.
    """

    by: Person
    now: datetime
    typed: QueryDict
    at: datetime | None = None

    def text(self, name: str, dial: Dial) -> str:
        """Return what was typed in a field of a meter's line."""
        return self.typed.get(f"{name}-{dial.meter.pk}", "").strip()

    def key(self, dial: Dial, text: str) -> str:
        """Return the key that makes the same value sent twice one reading."""
        page = self.typed.get("key", "")
        if not page:
            return ""
        return sha256(f"{page}|{dial.meter.pk}|{text}".encode()).hexdigest()[:40]


@dataclass
class RoundLine:
    """A meter's line as it is shown."""

    dial: Dial
    text: str = ""
    old_last: str = ""
    new_first: str = ""
    sentence: str = ""
    tone: str = ""
    choices: list[tuple[str, str]] = field(default_factory=list)
    taken: Reading | None = None

    @property
    def asks_swap(self) -> bool:
        """Whether the two values of a swap are asked for."""
        return any(answer == ReadingAnswer.SWAPPED for answer, _ in self.choices)

    @property
    def asks(self) -> bool:
        """Whether the line waits for an answer."""
        return self.tone == "error"


def answered_line(dial: Dial, sweep: RoundTerms) -> RoundLine:
    """Take what was typed for a meter, and say what became of it; nothing typed, nothing done."""
    line = RoundLine(dial, sweep.text("value", dial))
    if not line.text:
        return line
    line.old_last, line.new_first = sweep.text("old_last", dial), sweep.text("new_first", dial)
    try:
        if sweep.text("answer", dial) == ASIDE:
            _keep(line, sweep)
        else:
            _take(line, sweep)
    except ReadingRefused as no:
        _ask(line, no.sentence)
        line.choices = [*offered(no.verdict, _place(dial, sweep)), (ASIDE, "Keep it to be mended")]
    except (Refusal, ValueError) as no:
        _ask(line, str(no))
        line.choices = [(ASIDE, "Keep it to be mended")]
    return line


def _ask(line: RoundLine, sentence: str) -> None:
    line.sentence, line.tone = sentence, "error"


def _place(dial: Dial, sweep: RoundTerms) -> ReadingContext:
    machine = dial.meter.machine
    return ReadingContext(machine.tag, dial.kind, dial.yard.units, dial.yard.zone, sweep.now)


def _reading(line: RoundLine, sweep: RoundTerms) -> NewReading:
    """Return the reading that was typed; ValueError with a sentence for what cannot be read."""
    dial = line.dial
    written = sweep.typed.get("read_at", "").strip()
    when = parse_when(written, dial.yard.zone, sweep.now) if written else None
    return NewReading(
        machine=dial.meter.machine,
        kind=dial.kind,
        value=dial.parse(line.text),
        read_at=when.at if when else sweep.at or sweep.now,
        day_only=when.day_only if when else False,
        source=Source.ROUND,
        by=sweep.by,
        form_key=sweep.key(dial, line.text),
        old_last=dial.parse(line.old_last) if line.old_last else None,
        new_first=dial.parse(line.new_first) if line.new_first else None,
    )


def _take(line: RoundLine, sweep: RoundTerms) -> None:
    reading = read_on_round(_reading(line, sweep), sweep.now, sweep.text("answer", line.dial))
    _say_taken(line, reading, sweep)


def _say_taken(line: RoundLine, reading: Reading, sweep: RoundTerms) -> None:
    shown = line.dial.show(reading.value)
    when = _place(line.dial, sweep).moment(reading.read_at)
    line.text, line.tone, line.taken = "", "success", reading
    line.sentence = f"{shown} taken, {when}."
    if reading.entered_at < sweep.now:
        line.sentence = f"{shown} of {when} was here already; nothing was added."


def _keep(line: RoundLine, sweep: RoundTerms) -> None:
    """Keep what was typed as it was typed, with the verdict on it."""
    dial, machine = line.dial, line.dial.meter.machine
    try:
        verdict = check_reading(_reading(line, sweep), sweep.now)
        reason, sentence = verdict.reason, verdict.sentence
    except ValueError as no:
        reason, sentence = ReadingReason.NOT_A_NUMBER, str(no)
    stamp = (sweep.at or sweep.now).astimezone(dial.yard.zone).isoformat(" ", "minutes")
    row = ReadingRow(
        0, machine.tag, dial.kind.value, sweep.typed.get("read_at", "") or stamp, line.text
    )
    refused = RefusedRow(row, reason, sentence or "Set aside on the meter round.", machine)
    keep_to_mend([refused], RowConventions(source=Source.ROUND, by=sweep.by), sweep.now)
    line.sentence, line.tone = f"{line.text} is kept under Readings to mend.", "success"
    line.text = ""
