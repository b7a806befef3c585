"""Several photos, chosen at once."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.photo_files import MEGABYTE, MOST_BYTES

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
        if not sent and self.required:
            raise ValidationError("Choose a photo first.")
        if len(sent) > MOST_AT_ONCE:
            raise ValidationError(f"Send {MOST_AT_ONCE} photos at once at most.")
        if any(one.size > MOST_BYTES for one in sent):
            raise ValidationError(
                f"A photo has at most {MOST_BYTES // MEGABYTE} MB; send a smaller one."
            )
        return [one.read() for one in sent]
