"""What is to change on a copy of the plan: days, people, overtime.  One small form a change."""

from datetime import date, timedelta
from typing import Any, ClassVar

from django import forms

from fleet.models import Shop
from fleet.queries.skills import all_skills, names_of_skills
from fleet.queries.who_works import working_elsewhere, working_in
from scheduling.forms.counter_forms import day_field
from scheduling.trial.changes import (
    Away,
    Change,
    DayClosed,
    DayOpened,
    HandLent,
    MoreOvertime,
)

GONE_BY = "That day has gone by; choose today or a later one."
LONGEST_AWAY = timedelta(days=366)


class ChangeForm(forms.Form):
    """One change; `change` returns it once the form is valid."""

    what: ClassVar[str]
    """Word by which the change is kept and named in addresses."""
    title: ClassVar[str]
    """What a person reads above the form."""

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        self.shop, self.today = shop, today
        super().__init__(data, auto_id=f"{self.what}_%s", label_suffix="")
        for name, field in self.fields.items():
            if isinstance(field, forms.DateField):
                field.widget.attrs["min"] = today.isoformat()
                if data is None and name in ("first", "last", "day"):
                    field.initial = today

    def change(self) -> Change:
        """Return the change; call it on a valid form."""
        raise NotImplementedError

    def _not_past(self, name: str) -> date:
        day: date = self.cleaned_data[name]
        if day < self.today:
            raise forms.ValidationError(GONE_BY)
        return day

    def clean_day(self) -> date:
        """Refuse a day that is past."""
        return self._not_past("day")

    def clean(self) -> dict[str, Any]:
        """Refuse days that run backwards, or on for more than a year."""
        first, last = self.cleaned_data.get("first"), self.cleaned_data.get("last")
        if first and last and last < first:
            self.add_error("last", "The last day is before the first; swap them.")
        elif last and last < self.today:
            self.add_error("last", GONE_BY)
        elif first and last and last - first > LONGEST_AWAY:
            self.add_error("last", "That is more than a year; say it in shorter pieces.")
        return self.cleaned_data


def hours_field(label: str, initial: float, least: float, most: float) -> forms.FloatField:
    """Return a field for hours of a day."""
    outside = f"Say hours from {least:g} to {most:g}."
    return forms.FloatField(
        label=label, initial=initial, min_value=least, max_value=most,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={
            "required": "Say how many hours.", "invalid": "Write the hours in digits, such as 2.5.",
            "min_value": outside, "max_value": outside,
        },
    )  # fmt: skip


def reason_field() -> forms.CharField:
    """Return a field for a few words on why."""
    return forms.CharField(
        label="Why", required=False, max_length=100,
        error_messages={"max_length": "Say it in at most 100 characters."},
    )  # fmt: skip


def person_field(label: str) -> forms.ModelChoiceField:
    """Return a field for one person; the form says among whom."""
    return forms.ModelChoiceField(
        None, label=label, to_field_name="username",
        empty_label="choose",
        error_messages={
            "required": "Say who.", "invalid_choice": "Nobody of that name works in this shop.",
        },
    )  # fmt: skip


class ClosedForm(ChangeForm):
    """The shop closed on a day."""

    what, title = "closed", "A day closed"
    day = day_field("Day", "Say which day.")
    reason = reason_field()

    def change(self) -> Change:
        """Return the closed day."""
        return DayClosed(self.cleaned_data["day"], self.cleaned_data["reason"])


class OpenedForm(ChangeForm):
    """The shop open on a day on which it is closed."""

    what, title = "opened", "A closed day open"
    day = day_field("Day", "Say which day.")
    hours = hours_field("Hours worked by everyone there", 8, 0.5, 24)

    def change(self) -> Change:
        """Return the day with its hours."""
        return DayOpened(self.cleaned_data["day"], self.cleaned_data["hours"])


class AwayForm(ChangeForm):
    """Somebody away from a day to a day."""

    what, title = "away", "A mechanic away"
    person = person_field("Who")
    first = day_field("First day", "Say from which day.")
    last = day_field("Last day", "Say until which day.")
    reason = reason_field()

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        self.fields["person"].queryset = working_in(shop)  # type: ignore[attr-defined]

    def change(self) -> Change:
        """Return the absence."""
        given, person = self.cleaned_data, self.cleaned_data["person"]
        return Away(person.pk, str(person), given["first"], given["last"], given["reason"])


class LentForm(ChangeForm):
    """Somebody more for some days: from outside by name, or one of our own of another shop."""

    what, title = "lent", "An extra mechanic"
    name = forms.CharField(
        label="Name of somebody from outside", required=False, max_length=80,
        error_messages={"max_length": "Say the name in at most 80 characters."},
    )  # fmt: skip
    person = person_field("Or one of your own, of another shop")
    skills = forms.ModelMultipleChoiceField(
        all_skills(), required=False, label="Skills", to_field_name="name",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "There is no skill “%(value)s”; choose from the list."},
    )  # fmt: skip
    hours = hours_field("Hours a day", 8, 0.25, 24)
    first = day_field("First day", "Say from which day.")
    last = day_field("Last day", "Say until which day.")

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        person = self.fields["person"]
        person.queryset = working_elsewhere(shop)  # type: ignore[attr-defined]
        person.required = False

    def clean(self) -> dict[str, Any]:
        """Refuse nobody, and two at once."""
        given = super().clean()
        name, person = given.get("name", "").strip(), given.get("person")
        if not name and not person and "name" not in self.errors and "person" not in self.errors:
            self.add_error("name", "Name them, or choose one of your own.")
        if name and person:
            self.add_error("name", "Name somebody from outside or choose your own, not both.")
        return given

    def change(self) -> Change:
        """Return the loan; one of our own brings what they hold where nothing is ticked."""
        given, person = self.cleaned_data, self.cleaned_data["person"]
        skills = tuple(skill.name for skill in given["skills"])
        if person is not None and not skills:
            skills = names_of_skills(person)
        return HandLent(
            name=str(person) if person else given["name"].strip(),
            hours=given["hours"],
            skills=skills,
            first=given["first"],
            last=given["last"],
            person=person.pk if person else None,
            username=person.username if person else "",
        )


class OvertimeForm(ChangeForm):
    """More overtime on a day than usual."""

    what, title = "overtime", "More overtime on a day"
    day = day_field("Day", "Say which day.")
    hours = hours_field("Extra hours, each", 2, 0, 12)

    def change(self) -> Change:
        """Return the overtime."""
        return MoreOvertime(self.cleaned_data["day"], self.cleaned_data["hours"])
