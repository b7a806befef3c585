"""The time of day at which a machine goes out or comes back, or none for the whole day."""

import re
from datetime import time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.intake.written_days import parse_clock

NOON = ("half day", "half a day", "1/2 day", "½ day", "lunch", "noon", "midday")
WHOLE = ("whole day", "all day", "full day", "evening", "midnight", "end of day", "24:00", "-")
BEFORE = re.compile(r"(?:from|until|till|to|at|by|after|before)\s+", re.IGNORECASE)


class BookedClockField(forms.TimeField):
    """7:30, "from 7:30", 5 pm, "half day" (noon); empty or "whole day" is the whole day."""

    def __init__(self, label: str, help_text: str = "") -> None:
        shown = {"autocomplete": "off", "maxlength": 20, "size": 10}
        super().__init__(
            required=False, label=label, help_text=help_text, widget=forms.TextInput(attrs=shown)
        )

    def to_python(self, value: Any) -> time | None:
        """Read the time."""
        if isinstance(value, time) or value in self.empty_values:
            return value or None
        written = BEFORE.sub("", " ".join(str(value).split()), count=1).lower()
        if not written or written in WHOLE:
            return None
        if written in NOON:
            return time(12)
        try:
            return parse_clock(written)
        except ValueError as no:
            raise ValidationError(str(no)) from None

    def prepare_value(self, value: Any) -> Any:
        """Show hours and minutes."""
        return f"{value:%H:%M}" if isinstance(value, time) else value
