"""The form by which work is left under way: minutes worked, minutes left, what lies open."""

from collections.abc import Mapping
from typing import Any

from django import forms

from fleet.actions.lay_down_work import LONGEST_DAY, LONGEST_LEFT, LaidDown
from fleet.models import Person
from scheduling.queries.job_sheet import JobSheet, SheetWork


class LeaveForm(forms.Form):
    """Part of a job sheet: it counts for the work that is ticked there."""

    form_key = forms.CharField(max_length=32)
    done_by = forms.CharField(required=False)
    worked = forms.IntegerField(
        min_value=1,
        max_value=LONGEST_DAY,
        error_messages={
            "required": "Say how many minutes you worked on it.",
            "invalid": "Write the minutes worked as a whole number.",
            "min_value": "Write at least one minute worked, or put it off instead.",
            "max_value": "A day has 1,440 minutes; write what you worked on it today.",
        },
    )
    left = forms.IntegerField(
        min_value=1,
        max_value=LONGEST_LEFT,
        error_messages={
            "required": "Say about how many minutes are left.",
            "invalid": "Write the minutes left as a whole number.",
            "min_value": "If nothing is left, finish it instead.",
            "max_value": "Write at most 30,000 minutes; that is 500 hours of work.",
        },
    )
    lies_open = forms.CharField(required=False, max_length=300)

    def __init__(self, sheet: JobSheet, data: Mapping[str, Any], by: Person) -> None:
        """Read the form of a sheet; by: who writes it."""
        super().__init__(data)
        self.sheet, self.by = sheet, by

    @property
    def ticked(self) -> list[SheetWork]:
        """The work that is ticked."""
        keys = self.data.getlist("done") if hasattr(self.data, "getlist") else []
        return [one for key in keys if (one := self.sheet.find(key))]

    def clean(self) -> dict[str, Any]:
        """Ask for the work that is meant."""
        if not self.ticked:
            self.add_error(None, "Tick the work that is left under way.")
        return super().clean() or {}

    def fault(self) -> str:
        """Return what is wrong, in sentences."""
        return " ".join(str(faults[0]) for faults in self.errors.values())

    def laid_down(self) -> list[LaidDown]:
        """Return what is to be written; minutes are shared out over the work as it was planned."""
        asked, work = self.cleaned_data, self.ticked
        people = {one.username: one for one in self.sheet.workers}
        whole = sum(one.minutes for one in work) or 1
        return [
            LaidDown(
                self.sheet.machine,
                one.work_key,
                people.get(asked["done_by"], self.by),
                max(round(asked["worked"] * one.minutes / whole), 1),
                max(round(asked["left"] * one.minutes / whole), 1),
                asked["lies_open"],
                f"{asked['form_key']}-{number}",
            )
            for number, one in enumerate(work)
        ]
