"""One kept reading on the page: its texts as they can be mended, and what was said to them."""

from dataclasses import dataclass, field
from datetime import datetime

from django.http import QueryDict

from fleet.actions.mend_readings import MendAnswer, dismiss, mend, row_of_kept
from fleet.actions.take_readings import ReadingRefused
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import kind_named
from fleet.models import Person, ReadingToMend
from fleet.refusal import Refusal
from fleet.validation.answer_words import offered
from fleet.validation.reasons import ODD, ReadingAnswer, ReadingReason

DISMISS = "dismiss"
TEXTS = ("machine", "meter", "when", "value")
"""The parts of a row that can be typed again."""


@dataclass
class MendLine:
    """A kept reading as it is shown."""

    kept: ReadingToMend
    row: ReadingRow
    note: str = ""
    old_last: str = ""
    new_first: str = ""
    sentence: str = ""
    wrong: str = ""
    choices: list[tuple[str, str]] = field(default_factory=list)

    @property
    def asks_swap(self) -> bool:
        """Whether the two values of a swap are asked for."""
        return any(answer == ReadingAnswer.SWAPPED for answer, _ in self.choices)


REASON_WORDS = {
    ReadingReason.SAME_TIME: "say something else for a moment that has a reading",
    ReadingReason.BACKWARDS: "are lower than an earlier reading",
    ReadingReason.TOO_MUCH: "are more than the time allows",
    ReadingReason.OUTRAN: "are more than the machine can have run",
    ReadingReason.SLIPPED_POINT: "may have the decimal point in the wrong place",
    ReadingReason.WRONG_UNIT: "may be in another unit",
    ReadingReason.FUTURE: "are of a time still to come",
    ReadingReason.BEFORE_FITTED: "are from before the meter was fitted",
    ReadingReason.NO_METER: "are of a meter that the machine does not have",
    ReadingReason.WHICH_METER: "do not say which meter showed it",
    ReadingReason.UNKNOWN_MACHINE: "name a machine that is not here",
    ReadingReason.NOT_A_NUMBER: "have no number",
    ReadingReason.NOT_A_DATE: "have no date that can be read",
}
"""What many kept readings of one reason have in common."""


@dataclass(frozen=True)
class ManyAlike:
    """Kept readings of one reason: how many, what they are, whether they can be right."""

    reason: str
    count: int
    words: str
    can_be_right: bool


def many_alike(counts: list[tuple[str, int]]) -> list[ManyAlike]:
    """Return reasons with more than one kept reading, in words."""
    return [
        ManyAlike(reason, count, REASON_WORDS[ReadingReason(reason)], reason in ODD)
        for reason, count in counts
        if reason in REASON_WORDS
    ]


def shown(kept: ReadingToMend) -> MendLine:
    """Return a kept reading as it stands."""
    row = row_of_kept(kept)
    return MendLine(kept, row._replace(meter=kind_named(row.meter) or ""))


def settle(kept: ReadingToMend, typed: QueryDict, by: Person, now: datetime) -> MendLine:
    """Do what was pressed with a kept reading; what cannot be is said at its field."""
    line = shown(kept)
    texts = {name: typed.get(name, getattr(line.row, name)).strip() for name in TEXTS}
    line.row = line.row._replace(**texts)
    line.note = typed.get("note", "").strip()
    line.old_last, line.new_first = typed.get("old_last", ""), typed.get("new_first", "")
    answer = typed.get("answer", "")
    try:
        if answer == DISMISS:
            dismiss(kept, note=line.note, by=by, now=now)
        else:
            told = MendAnswer(answer=answer, old_last=line.old_last, new_first=line.new_first)
            mend(kept, line.row, told, by=by, now=now)
    except ReadingRefused as no:
        line.sentence, line.wrong = no.sentence, "value"
        line.choices = offered(no.verdict, no.new.place(now))
    except Refusal as no:
        line.sentence, line.wrong = no.sentence, no.field
    return line
