"""Forms of shops and yards: hours as they hang on the door, closed days, the way to the shop."""

import zoneinfo
from typing import Any

from django import forms

from fleet.actions.keep_week import keep_open_hours
from fleet.actions.own_what_grew import own_what_grew
from fleet.forms.written_fields import (
    OpenHoursField,
    PlacedForm,
    WrittenClockField,
    WrittenDayField,
)
from fleet.models import ClosedDay, Shop, Yard
from fleet.models.places import WEEKDAYS
from fleet.queries.set_up_choices import hours_on_the_door, only_shop

USUAL = "07:00 to 17:00"
"""What stands in the form of a new shop, Monday to Friday, to be changed."""
LAST_WORKDAY = 4
"""Friday; Monday is 0."""


def zones() -> list[tuple[str, str]]:
    """Return the time zones of the IANA database that a place can lie in."""
    places = sorted(name for name in zoneinfo.available_timezones() if "/" in name)
    usual = [name for name in places if not name.startswith(("Etc/", "SystemV/"))]
    return [("", "Choose one"), *((name, name.replace("_", " ")) for name in usual), ("UTC", "UTC")]


class ZoneField(forms.ChoiceField):
    """A time zone, chosen by name."""

    def __init__(self) -> None:
        asks = {"required": "Choose the time zone; every date of the place goes by it."}
        super().__init__(choices=zones, error_messages=asks)


class ShopForm(PlacedForm):
    """A shop with its hours, one line a weekday."""

    time_zone = ZoneField()
    nightly_at = WrittenClockField(
        label="The night's work starts at", help_text="forecasts, plan and letters of the day"
    )

    class Meta:
        model = Shop
        fields = [
            "name", "time_zone", "units", "bays", "nightly_at", "look_ahead_days", "warn_days",
            "horizon_days", "frozen_days", "overtime_limit_hours", "overtime_cost_per_hour",
            "overrules",
        ]  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["overrules"].required = False  # left out, it stays as it is
        if self.instance.pk is None:
            self.initial["time_zone"] = ""
        open_on = hours_on_the_door(self.instance)
        for day, name in enumerate(WEEKDAYS):
            usual = USUAL if day <= LAST_WORKDAY and not self.instance.pk else ""
            row = open_on.get(day)
            self.fields[f"day_{day}"] = OpenHoursField(
                required=False, max_length=40, label=name,
                initial=f"{row.opens:%H:%M} to {row.closes:%H:%M}" if row else usual,
                help_text="" if day else "from when to when; empty: closed",
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Refuse a shop that never opens."""
        given = super().clean()
        days = [f"day_{day}" for day in range(7)]
        if not any(given.get(day) for day in days) and not set(days) & set(self.errors):
            self.add_error("day_0", "A shop that never opens can do no work; give it some hours.")
        return given

    def after(self, row: Shop) -> None:
        """Keep the week."""
        own_what_grew(self.place.person, row, now=self.place.now)
        keep_open_hours(row, {day: self.cleaned_data[f"day_{day}"] for day in range(7)})


class ClosedDayForm(PlacedForm):
    """A day on which the shop, or one yard, is shut."""

    day = WrittenDayField()

    class Meta:
        model = ClosedDay
        fields = ["day", "yard", "reason"]


class YardForm(PlacedForm):
    """A yard, and the way to its shop."""

    time_zone = ZoneField()

    class Meta:
        model = Yard
        fields = [
            "name", "shop", "time_zone", "units", "remote", "travel_hours", "trip_cost",
            "duty_factor",
        ]  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.instance.pk is None:
            self.initial["time_zone"] = ""
            if only := only_shop():
                usual = {"shop": only.pk, "time_zone": only.time_zone, "units": only.units}
                self.initial.update(usual)
