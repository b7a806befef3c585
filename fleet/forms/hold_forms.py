"""Forms of a hold: hang it, say it better, release it."""

from typing import Any

from django import forms

from fleet.models import Hold, Machine, Person
from fleet.queries.open_holds import NOTE_LENGTH, owners_for


def _lines(attrs: int = 2) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": attrs})


class HoldForm(forms.Form):
    """Why a machine stays, what must be true for its release, who decides."""

    reason = forms.CharField(label="Why it must stay", max_length=300, widget=_lines())
    condition = forms.CharField(
        label="What must be true for its release", max_length=300, required=False, widget=_lines()
    )
    owner: forms.ModelChoiceField = forms.ModelChoiceField(None, label="Who decides over it")
    safety = forms.BooleanField(
        label="It is not safe to use",
        required=False,
        help_text="Then a mechanic or a manager releases it, with a word on what was put right.",
    )

    look = forms.BooleanField(
        label="The shop looks at it",
        required=False,
        help_text="Half an hour for it comes into the plan; without it nobody is sent.",
    )

    def __init__(self, machine: Machine, by: Person, data: Any = None) -> None:
        """Offer the people of the machine's shop; who fills it in comes first."""
        usual = {"owner": by.pk, "look": True}
        super().__init__(data, initial=usual, auto_id="hold_%s")
        field = self.fields["owner"]
        field.queryset = owners_for(machine, by)  # type: ignore[attr-defined]


class HoldChangeForm(HoldForm):
    """What may be changed of a hold that hangs: all but whether it is for safety, or looked at."""

    safety = None  # type: ignore[assignment]
    look = None  # type: ignore[assignment]

    def __init__(self, hold: Hold, by: Person, data: Any = None) -> None:
        """Fill it in with what stands."""
        super().__init__(hold.machine, hold.decided_by, data)
        self.initial = {
            "reason": hold.reason,
            "condition": hold.condition,
            "owner": hold.decided_by.pk,
        }


class ReleaseForm(forms.Form):
    """What was put right before a machine is released."""

    note = forms.CharField(
        label="What was put right",
        max_length=NOTE_LENGTH,
        error_messages={"required": "Say what was put right before the machine is released."},
    )
