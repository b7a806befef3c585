"""Fields that read what people write: days, hours, volumes, in the units of the place."""

import re
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.intake.written_days import parse_clock, parse_day
from fleet.models import Person, Units
from fleet.quantities import parse_volume, show_volume
from fleet.queries.shop_reach import within
from fleet.saying import MONTH

SPAN = re.compile(r"(.+?)\s*(?:-|–|—|\bto\b|\buntil\b)\s*(.+)", re.IGNORECASE)


@dataclass(frozen=True)
class FormPlace:
    """Where, when and by whom a form is filled in: the day there, and how it counts."""

    person: Person
    now: datetime
    today: date
    units: str

    @property
    def month_first(self) -> bool:
        """Whether 3/4 means the 4th of March."""
        return self.units == Units.US


class PlacedField(forms.Field):
    """A field that knows its place; a form that has one gives it to all of its fields."""

    place: FormPlace | None = None


class WrittenDayField(PlacedField, forms.DateField):
    """A day as it is written on paper."""

    widget = forms.TextInput(attrs={"autocomplete": "off"})

    def to_python(self, value: Any) -> date | None:
        """Read the day."""
        if value in self.empty_values or isinstance(value, date):
            return super().to_python(value)
        if self.place is None:
            raise TypeError("a day can be read in a place alone")
        try:
            return parse_day(str(value), self.place.today, month_first=self.place.month_first)
        except ValueError as no:
            raise ValidationError(str(no)) from None

    def prepare_value(self, value: Any) -> Any:
        """Show the day so that it can be read in one way only."""
        if isinstance(value, date):
            return f"{value.day} {MONTH[value.month - 1]} {value.year}"
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare what was shown with what came back."""
        return str(self.prepare_value(initial) or "").strip() != str(data or "").strip()


class WrittenClockField(forms.TimeField):
    """A time of day: 17:00, 17.00, 5 pm."""

    widget = forms.TextInput(attrs={"autocomplete": "off"})

    def to_python(self, value: Any) -> time | None:
        """Read the time."""
        if value in self.empty_values or isinstance(value, time):
            return super().to_python(value)
        try:
            return parse_clock(str(value))
        except ValueError as no:
            raise ValidationError(str(no)) from None

    def prepare_value(self, value: Any) -> Any:
        """Show hours and minutes."""
        return f"{value:%H:%M}" if isinstance(value, time) else value


class OpenHoursField(forms.CharField):
    """From when to when on one day: "7:00 to 17:00"; empty: closed."""

    def to_python(self, value: Any) -> Any:
        """Read the two times."""
        written = super().to_python(value)
        if not written:
            return None
        match = SPAN.fullmatch(written)
        if not match:
            raise ValidationError(f"“{written}” is not from when to when; write 7:00 to 17:00.")
        try:
            opens, closes = parse_clock(match[1]), parse_clock(match[2])
        except ValueError as no:
            raise ValidationError(str(no)) from None
        if closes <= opens:
            raise ValidationError(
                f"It would close at {closes:%H:%M}, and it opens at {opens:%H:%M};"
                " write the afternoon as 17:00 or 5 pm."
            )
        return opens, closes


class VolumeField(PlacedField):
    """A volume with or without its unit, kept in mL."""

    widget = forms.TextInput(attrs={"autocomplete": "off", "maxlength": 20})

    def to_python(self, value: Any) -> Any:
        """Read the volume."""
        typed = str(value or "").strip()
        if not typed:
            return None
        if self.place is None:
            raise TypeError("a volume can be read in a place alone")
        try:
            return parse_volume(typed, self.place.units)
        except ValueError as no:
            raise ValidationError(str(no)) from None

    def prepare_value(self, value: Any) -> Any:
        """Show the volume in the units of the place."""
        if isinstance(value, int | float) and self.place is not None:
            return show_volume(float(value), self.place.units)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare what was shown with what came back."""
        return str(self.prepare_value(initial) or "").strip() != str(data or "").strip()


class PlacedForm(forms.ModelForm):
    """A form of a model whose fields read what people write where they are.

    Saved by `fleet.actions.keep_set_up`; `after` is called then, for what the form holds beside
    the row itself.
    """

    def __init__(self, *args: Any, place: FormPlace, **more: Any) -> None:
        self.place = place
        super().__init__(*args, **more)
        for field in self.fields.values():
            if isinstance(field, PlacedField):
                field.place = place
            if isinstance(field, forms.ModelChoiceField) and field.queryset is not None:
                field.queryset = within(place.person, field.queryset)
            if isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = 3

    def clean(self) -> dict[str, Any]:
        """Note on a new row who said it and when, where the row keeps that."""
        row = self.instance
        if row.pk is None and hasattr(row, "at") and hasattr(row, "by_id"):
            row.by, row.at = self.place.person, self.place.now
        return super().clean() or {}

    def after(self, row: Any) -> None:
        """Keep what the form holds beside its row; called in the transaction that saved it."""
