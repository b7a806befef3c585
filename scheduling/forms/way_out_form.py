"""The press on a way out of a booking."""

from typing import Any

from django import forms

from fleet.models import Machine, Person
from fleet.queries.mine import machine_of
from scheduling.queries.ways_out import WayKind

GONE = "This way is no longer there; look at the ways again."


class WayOutForm(forms.Form):
    """Which way is taken, and what it needs; the shop days of a move are the move's own form."""

    kind = forms.ChoiceField(
        choices=[(kind.value, kind.name) for kind in WayKind],
        error_messages={"required": GONE, "invalid_choice": GONE},
    )
    machine = forms.CharField(required=False, max_length=40)
    last_day = forms.DateField(required=False, error_messages={"invalid": GONE})
    hours = forms.FloatField(
        required=False, min_value=0, max_value=4, error_messages={"invalid": GONE}
    )
    reason = forms.CharField(required=False, max_length=200, label="Why it goes anyway")

    def __init__(self, data: Any, *, person: Person) -> None:
        super().__init__(data)
        self.person = person

    def clean(self) -> dict[str, Any]:
        """Ask for what the way needs."""
        cleaned = super().clean() or self.cleaned_data
        kind = cleaned.get("kind")
        if kind == WayKind.SWAP:
            cleaned["instead"] = self._machine(cleaned.get("machine", ""))
        if kind == WayKind.SHORTER and not cleaned.get("last_day"):
            raise forms.ValidationError(GONE)
        return cleaned

    def _machine(self, tag: str) -> Machine:
        machine = machine_of(self.person, tag)
        if machine is None:
            raise forms.ValidationError(GONE)
        return machine

    @property
    def fault(self) -> str:
        """What is wrong with it, in a sentence."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)
