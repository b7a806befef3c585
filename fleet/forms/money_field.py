"""Money as people write it: 480, 480.50, "$220", "1,200", "1 200,50", "1'200.-"."""

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

SIGNS = re.compile(r"(?:[$€£]|\b(?:usd|cad|aud|eur|chf|gbp|us|dollars?)\b)", re.IGNORECASE)
GAPS = re.compile(r"[\s\u00a0\u202f'’_]")


def plain_money(written: str) -> str | None:
    """Return an amount in digits with a point; None for what cannot be money.

    Of two marks the last is the decimal one.  A single comma before three digits groups thousands;
    a single point there may be either, so it stays a point, and three places are refused.
    """
    text = GAPS.sub("", SIGNS.sub("", written)).removesuffix(".-").removesuffix(".–").rstrip(".")
    if not re.fullmatch(r"-?[0-9.,]*[0-9][0-9.,]*", text):
        return None
    last = max(text.rfind("."), text.rfind(","))
    if last < 0:
        return text
    head, mark, tail = text[:last], text[last], text[last + 1 :]
    many = mark in head
    if many or (mark == "," and len(tail) == 3 and "." not in head):
        grouped = re.fullmatch(rf"-?\d{{1,3}}(?:\{mark}\d{{3}})+", text)
        return text.replace(mark, "") if grouped else None
    other = "," if mark == "." else "."
    if other in head and not re.fullmatch(rf"-?\d{{1,3}}(?:\{other}\d{{3}})+", head):
        return None
    return f"{head.replace(other, '') or '0'}.{tail}"


class MoneyField(forms.DecimalField):
    """An amount of money, of zero or more."""

    widget = forms.TextInput

    def __init__(self, **more: Any) -> None:
        usual = {"min_value": 0, "max_digits": 10, "decimal_places": 2}
        super().__init__(**usual | more)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "maxlength": 24})
        too_much = "That is more than a booking can be worth; check the digits."
        told = {
            "invalid": "Write the value in digits, such as 480, 480.50 or 1,200.",
            "min_value": "A value below zero cannot be right.",
            "max_digits": too_much,
            "max_whole_digits": too_much,
            "max_decimal_places": "Write at most two places behind the point.",
        }
        self.error_messages.update(told | dict(more.get("error_messages") or {}))

    def to_python(self, value: Any) -> Any:
        """Read the amount."""
        if not isinstance(value, str) or not value.strip():
            return super().to_python(None if isinstance(value, str) else value)
        if (plain := plain_money(value)) is None:
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return super().to_python(plain)
