"""Fields of a sheet for what was seen beside the work, how bad it is and how much work it asks."""

from typing import Any

from django import forms

from fleet.actions.lay_down_work import LONGEST_LEFT
from fleet.models import Finding
from scheduling.actions.finish_job import RepairGuess

SAY_WHAT: dict[str, str] = {
    Finding.Gravity.DEFECT: "Say in a few words what the defect is, or choose “note” below.",
    Finding.Gravity.UNSAFE: "Say in a few words what is not safe: that holds the machine.",
}
"""What is asked where it was said how bad something is, and not what."""


class FoundFields(forms.Form):
    """One finding beside the work, with a guess at the work that it asks for."""

    finding = forms.CharField(
        label="Something else seen",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    gravity = forms.ChoiceField(
        label="How bad",
        choices=Finding.Gravity.choices,
        required=False,
        initial=Finding.Gravity.NOTE,
        widget=forms.RadioSelect,
        help_text="A defect is planned as work; not safe holds the machine at once.",
    )
    repair_minutes = forms.IntegerField(
        label="Minutes to put it right",
        required=False,
        min_value=1,
        max_value=LONGEST_LEFT,
        help_text="A guess, for the plan; empty: an hour.",
        error_messages={
            "min_value": "Write at least one minute.",
            "max_value": "Write at most 30,000 minutes; that is 500 hours of work.",
        },
    )
    repair_second = forms.IntegerField(
        label="Of these with a second person",
        required=False,
        min_value=0,
        max_value=1440,
        error_messages={"max_value": "A day has 1,440 minutes."},
    )
    repair_days = forms.BooleanField(label="It may take several days", required=False)

    def read_found(self, cleaned: dict[str, Any]) -> None:
        """Refuse help that is longer than the work, and what is said of a finding without words."""
        minutes = cleaned.get("repair_minutes") or RepairGuess.minutes
        if (cleaned.get("repair_second") or 0) > minutes:
            self.add_error("repair_second", "Help cannot take longer than the work itself.")
        if cleaned.get("finding", "").strip() or "finding" in self.errors:
            return
        if sentence := SAY_WHAT.get(cleaned.get("gravity", "")):
            self.add_error("finding", sentence)
        elif cleaned.get("repair_minutes"):
            self.add_error(
                "finding", "Say what these minutes are to put right, or empty them below."
            )

    def repair_guess(self) -> RepairGuess:
        """Return the work that the finding asks for, as far as it was said."""
        cleaned = self.cleaned_data
        return RepairGuess(
            cleaned.get("repair_minutes") or RepairGuess.minutes,
            cleaned.get("repair_second") or 0,
            bool(cleaned.get("repair_days")),
        )
