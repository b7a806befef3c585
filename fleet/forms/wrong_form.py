"""Something is wrong with a machine: what it is by a press, a few words, and whether it may run."""

from datetime import datetime
from typing import Any

from django import forms

from fleet.actions.note_findings import NewFinding
from fleet.models import Finding, Machine

WHAT = (
    "It leaks", "It does not start", "It runs badly", "Brakes", "Steering", "Tyre, wheel or track",
    "Hydraulics", "Lights or wiring", "A guard, belt or alarm", "Damage", "Something else",
)  # fmt: skip
"""What can be pressed; the words are ours, the list is common practice of a walk-round."""
GRAVITIES = (
    (Finding.Gravity.NOTE, "It can be used; somebody should know"),
    (Finding.Gravity.DEFECT, "It needs work soon"),
    (Finding.Gravity.UNSAFE, "Not safe: stop it now"),
)


class WrongForm(forms.Form):
    """What somebody who stands before the machine says of it."""

    what = forms.ChoiceField(
        label="What is wrong", choices=[(word, word) for word in WHAT], widget=forms.RadioSelect,
        error_messages={"required": "Press what is wrong; “Something else” will do."},
    )  # fmt: skip
    gravity = forms.ChoiceField(
        label="Can it be used?", choices=GRAVITIES, widget=forms.RadioSelect,
        help_text="Not safe holds the machine at once: nobody takes it out.",
        error_messages={"required": "Say whether it can be used."},
    )  # fmt: skip
    more = forms.CharField(
        label="A few words more", required=False, max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    photo = forms.FileField(
        label="A photo", required=False, max_length=200,
        help_text="If it shows more than words. Place and device are not kept with it.",
        widget=forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )  # fmt: skip
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, key: str, data: Any = None, files: Any = None) -> None:
        super().__init__(data, files, initial={"form_key": key}, auto_id="wrong_%s")

    def clean(self) -> dict[str, Any]:
        """Ask for words where nothing that can be pressed says it."""
        said = self.cleaned_data
        if said.get("what") == WHAT[-1] and not said.get("more", "").strip():
            self.add_error("more", "Say in a few words what is wrong.")
        return said

    def finding(self, machine: Machine, at: datetime | None = None) -> NewFinding:
        """Return what was said as a finding on the machine; at: when, if it comes in late."""
        said = self.cleaned_data
        what, more = said["what"], said["more"].strip()
        text = more if what == WHAT[-1] else f"{what}: {more}" if more else what
        return NewFinding(
            machine=machine, text=text, gravity=said["gravity"], form_key=said["form_key"],
            seen_at=at,
        )  # fmt: skip
