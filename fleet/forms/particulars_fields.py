"""The fields of a hand-over beside meters and walk-round: fuel, accessories, who took it, use."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.actions.particulars import Particulars
from fleet.models import HandOver, RunsOn

EIGHTHS = [("", "not looked at"), *((str(n), f"{n}/8" if n else "empty") for n in range(8)),
           ("8", "full")]  # fmt: skip
STROKES = re.compile(r"(?:M\d{1,3} \d{1,3}(?: ?L\d{1,3} \d{1,3})* ?){1,400}")
LONGEST_SIGNATURE = 20_000
"""Characters of a drawn signature."""
MOST_HOURS = 24


class SignatureField(forms.CharField):
    """A signature that a script drew, as strokes of a path of SVG; empty without a script."""

    def __init__(self, label: str) -> None:
        widget = forms.HiddenInput(attrs={"data-signature": label})
        super().__init__(required=False, max_length=LONGEST_SIGNATURE, widget=widget, label=label)

    def clean(self, value: Any) -> str:
        """Take strokes and nothing else, since it is drawn on pages again."""
        drawn = str(value or "").strip()
        if drawn and (len(drawn) > LONGEST_SIGNATURE or not STROKES.fullmatch(drawn)):
            raise ValidationError("That signature cannot be read; sign again, or leave it empty.")
        return drawn


def particulars_fields(
    runs_on: str, accessories: Sequence[str], *, out: bool
) -> dict[str, forms.Field]:
    """Return the fields that a hand-over of a class has, by name.

    accessories: what goes with it, in the order of its fields.
    """
    found: dict[str, forms.Field] = {}
    if runs_on == RunsOn.FUEL:
        found["fuel"] = forms.ChoiceField(choices=EIGHTHS, required=False, label="Fuel in the tank")
    if runs_on == RunsOn.CHARGE:
        found["charge"] = forms.IntegerField(
            required=False, min_value=0, max_value=100, label="Charge, per cent",
            error_messages={"invalid": "Write the charge in per cent, from 0 to 100."},
        )  # fmt: skip
    for number, words in enumerate(accessories):
        found[f"goes_{number}"] = forms.BooleanField(required=False, label=words)
    who = "Who takes it" if out else "Who brought it back"
    found["taken_by"] = forms.CharField(
        required=False, max_length=120, label=who,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )  # fmt: skip
    found["signature"] = SignatureField(f"{who}: signature")
    found["our_signature"] = SignatureField("At the counter: signature")
    if out:
        found["use_said"] = forms.CharField(
            required=False, max_length=200, label="What it is used for, as the customer says"
        )
        found["hours_a_day"] = forms.FloatField(
            required=False, min_value=0, max_value=MOST_HOURS, label="Hours a day it is to run",
            help_text="as the customer says: 8",
            error_messages={"max_value": "A day has 24 hours; write how many of them it runs."},
        )  # fmt: skip
    return found


def read_particulars(
    typed: Mapping[str, Any], accessories: Sequence[str], *, before: Particulars | None = None
) -> Particulars:
    """Return what was typed; before: whose signatures stay where none are drawn anew."""
    level: float | None = None
    if typed.get("fuel"):
        level = int(typed["fuel"]) / 8
    elif typed.get("charge") is not None:
        level = typed["charge"] / 100
    old = before or Particulars()
    return Particulars(
        level,
        {words: bool(typed.get(f"goes_{n}")) for n, words in enumerate(accessories)},
        typed.get("taken_by", "").strip(),
        typed.get("signature", "") or old.signature,
        typed.get("our_signature", "") or old.our_signature,
        typed.get("use_said", "").strip(),
        typed.get("hours_a_day"),
    )


def initial_particulars(row: HandOver, accessories: Sequence[str]) -> dict[str, Any]:
    """Return what a form shows of a hand-over that is put right."""
    level = row.level
    return {
        "fuel": "" if level is None else str(round(level * 8)),
        "charge": None if level is None else round(level * 100),
        "taken_by": row.taken_by,
        "use_said": row.use_said,
        "hours_a_day": row.hours_a_day,
        **{f"goes_{n}": row.accessories.get(words) for n, words in enumerate(accessories)},
    }
