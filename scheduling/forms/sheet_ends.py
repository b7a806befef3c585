"""How a visit at the bench ends: finished, left under way, or put off; all read the same sheet."""

from enum import Enum
from typing import Any

from django import forms

from fleet.actions.lay_down_work import LONGEST_DAY, LONGEST_LEFT, LaidDown
from fleet.models import Machine, Person
from scheduling.queries.job_sheet import SheetWork

MOST_WORDS = 300
"""Characters that stand with work left under way, or with the reason why it is put off."""


class SheetEnd(Enum):
    """What the person pressed."""

    FINISH = "finish"
    LEAVE = "leave"
    PUT_OFF = "put off"


class LeaveFields(forms.Form):
    """Fields of a sheet that count if it is left under way."""

    worked = forms.IntegerField(
        label="Minutes worked on it",
        required=False,
        min_value=1,
        max_value=LONGEST_DAY,
        error_messages={
            "invalid": "Write the minutes worked as a whole number.",
            "min_value": "Write at least one minute worked, or put it off instead.",
            "max_value": "A day has 1,440 minutes; write what you worked on it today.",
        },
    )
    left = forms.IntegerField(
        label="Minutes left",
        required=False,
        min_value=1,
        max_value=LONGEST_LEFT,
        error_messages={
            "invalid": "Write the minutes left as a whole number.",
            "min_value": "If nothing is left, finish it instead.",
            "max_value": "Write at most 30,000 minutes; that is 500 hours of work.",
        },
    )
    lies_open = forms.CharField(label="What is still open", required=False, max_length=MOST_WORDS)

    def ask_to_leave(self, ticked: list[SheetWork]) -> None:
        """Ask for the work that is meant, what was worked on it and what is left."""
        if not ticked:
            self.add_error(None, "Tick the work that is left under way.")
        for name, sentence in (
            ("worked", "Say how many minutes you worked on it."),
            ("left", "Say about how many minutes are left."),
        ):
            if name not in self.errors and not self.cleaned_data.get(name):
                self.add_error(name, sentence)

    def words_with(self, said: str) -> str:
        """Join what was said with the note of the sheet; too much of it is refused."""
        note = " ".join(self.cleaned_data.get("note", "").split())
        words = ". ".join(part.rstrip(".") for part in (said.strip(), note) if part)
        if len(words) > MOST_WORDS:
            self.add_error(
                "note",
                f"This and the note are {len(words)} characters together; at most {MOST_WORDS}"
                " can stand with work that is not finished.",
            )
        return words

    def laid_down(self, machine: Machine, work: list[SheetWork], done_by: Person) -> list[LaidDown]:
        """Return what is to be written; minutes are shared out over the work as it was planned."""
        asked: dict[str, Any] = self.cleaned_data
        whole = sum(one.minutes for one in work) or 1
        return [
            LaidDown(
                machine,
                one.work_key,
                done_by,
                max(round(asked["worked"] * one.minutes / whole), 1),
                max(round(asked["left"] * one.minutes / whole), 1),
                asked["words"],
                f"{asked['form_key']}-{number}",
            )
            for number, one in enumerate(work)
        ]
