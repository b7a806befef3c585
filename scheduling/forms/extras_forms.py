"""Photos and charges of a hand-over as they are sent: several files at once, an amount, a why."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.forms.money_field import MoneyField
from fleet.photo_files import MEGABYTE, MOST_BYTES
from scheduling.forms.hire_fields import short_text

MOST_AT_ONCE = 6
"""Photos of one form."""


class SeveralFiles(forms.ClearableFileInput):
    """A choice of several files."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """Return all that were chosen."""
        return files.getlist(name) if hasattr(files, "getlist") else files.get(name)


class PhotosField(forms.FileField):
    """Some photos, each within bounds; what they hold is looked at later."""

    widget = SeveralFiles

    def clean(self, data: Any, initial: Any = None) -> Sequence[bytes]:
        """Return what was sent, as bytes."""
        sent = [one for one in (data if isinstance(data, (list, tuple)) else [data]) if one]
        if not sent:
            raise ValidationError("Choose a photo first.")
        if len(sent) > MOST_AT_ONCE:
            raise ValidationError(f"Send {MOST_AT_ONCE} photos at once at most.")
        if any(one.size > MOST_BYTES for one in sent):
            raise ValidationError(
                f"A photo has at most {MOST_BYTES // MEGABYTE} MB; send a smaller one."
            )
        return [one.read() for one in sent]


class PhotosForm(forms.Form):
    """Photos, and what they show."""

    photos = PhotosField(
        label="Photos", help_text="JPEG, PNG or WebP; place and device are not kept",
        widget=SeveralFiles(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )  # fmt: skip
    says = short_text("What they show", 120)


class ChargeForm(forms.Form):
    """What is charged, and how much."""

    what = forms.CharField(
        max_length=120, label="What for",
        error_messages={
            "required": "Say what it is for.",
            "max_length": "Say it in at most 120 characters.",
        },
    )  # fmt: skip
    amount = MoneyField(label="How much", max_digits=9, error_messages={
        "required": "Say how much.",
    })  # fmt: skip
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)
