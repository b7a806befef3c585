"""The forms of a part's shelf: counted, a count corrected, a movement struck."""

from typing import Any

from django import forms

from fleet.models import Part, Shop
from fleet.numerals import parse_number
from fleet.quantities import QUART

LITRE = 1000.0
"""Millilitres in a litre."""


def unit_of_part(part: Part, shop: Shop) -> tuple[str, float]:
    """Return the unit in which a shop counts a part, and how many stored units it is."""
    if part.kind != Part.Kind.FLUID:
        return "pieces", 1.0
    return ("qt", QUART) if shop.units == "us" else ("L", LITRE)


class CountForm(forms.Form):
    """How much of a part lies on the shelf; with it a note, or why a count is corrected."""

    counted = forms.CharField(
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": "Write how many lie there; 0 if there are none."},
    )
    note = forms.CharField(required=False, max_length=120, label="Note")

    def __init__(self, data: Any, part: Part, shop: Shop, *, label: str = "Lies there") -> None:
        super().__init__(data)
        unit, self.size = unit_of_part(part, shop)
        self.fields["counted"].label = f"{label}, {unit}"

    def clean_counted(self) -> float:
        """Read the number; returns pieces or mL."""
        text = self.cleaned_data["counted"]
        try:
            return parse_number(text) * self.size
        except ValueError:
            raise forms.ValidationError(
                f"“{text}” is not a number of things that lie there; write it in digits."
            ) from None


class StrikeMovementForm(forms.Form):
    """Why a movement is struck."""

    why = forms.CharField(
        label="Why", max_length=120,
        error_messages={"required": "Say why it is struck; it stays on record with your name."},
    )  # fmt: skip
