"""The form of a meter's swap: when it was, what the old one last showed, where the new began."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms

from fleet.forms.why_field import WhyCorrectedField
from fleet.intake.reading_dates import parse_when
from fleet.models import Meter
from fleet.quantities import parse_use, plain_use, unit_of


class SwapForm(forms.Form):
    """A swap of one kind of meter; values are typed in the yard's units, times in its zone."""

    when = forms.CharField(
        label="Swapped at", max_length=40,
        widget=forms.TextInput(attrs={"type": "datetime-local"}),
        error_messages={"required": "Say when it was swapped."},
    )  # fmt: skip
    old_last = forms.CharField(
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": "Write what the old meter last showed."},
    )
    new_first = forms.CharField(
        max_length=40, initial="0",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": "Write what the new meter showed when it was fitted."},
    )  # fmt: skip
    why = forms.CharField(
        label="Why", required=False, max_length=200, help_text="Kept on record with your name."
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        meter: Meter,
        now: datetime,
        swapped: tuple[Meter, Meter] | None = None,
    ) -> None:
        """swapped: the old and the new meter of a swap that is put right."""
        self.meter, self.now, self.swapped = meter, now, swapped
        self.yard = meter.machine.yard
        super().__init__(data, initial=self._initial())
        if swapped:
            self.fields["why"] = WhyCorrectedField()
            if swapped[0].ending == Meter.Ending.ROLLED_OVER:
                self._of_a_rollover()
                return
        unit = unit_of(meter.kind, self.yard.units)
        self.fields["old_last"].label = f"The old meter last showed, {unit}"
        self.fields["new_first"].label = f"The new one started at, {unit}"

    def _of_a_rollover(self) -> None:
        """Ask what a rollover has: when it was, and how far the meter counts."""
        unit = unit_of(self.meter.kind, self.yard.units)
        self.fields["when"].label = "Rolled over at"
        self.fields["when"].error_messages["required"] = "Say when it rolled over."
        self.fields["old_last"].label = f"It counts up to, {unit}"
        self.fields["old_last"].error_messages["required"] = "Write where it starts again at 0."
        del self.fields["new_first"]

    def _initial(self) -> dict[str, str]:
        if self.swapped is None:
            return {"when": f"{self.now.astimezone(self.yard.zone):%Y-%m-%dT%H:%M}"}
        old, new = self.swapped
        units = self.yard.units
        return {
            "when": f"{new.fitted_at.astimezone(self.yard.zone):%Y-%m-%dT%H:%M}",
            "old_last": plain_use(old.last_value or 0.0, old.kind, units),
            "new_first": plain_use(new.first_value, new.kind, units),
        }

    def clean_when(self) -> datetime:
        """Read the moment; one left as it was keeps its seconds."""
        text = self.cleaned_data["when"]
        if self.swapped and text == self._initial()["when"]:
            return self.swapped[1].fitted_at
        try:
            return parse_when(text, self.yard.zone, self.now).at
        except ValueError as no:
            raise forms.ValidationError(str(no)) from None

    def clean_old_last(self) -> float:
        """Read what the old meter last showed."""
        return self._value("old_last")

    def clean_new_first(self) -> float:
        """Read what the new meter showed when it was fitted."""
        return self._value("new_first")

    def _value(self, name: str) -> float:
        try:
            return parse_use(self.cleaned_data[name], self.meter.kind, self.yard.units)
        except ValueError as no:
            raise forms.ValidationError(str(no)) from None
