"""Somebody put on the wait list: who, which class or machine, from which yard, which days, note."""

from datetime import date
from typing import Any

from django import forms

from fleet.actions.open_hires import HireFacts
from fleet.actions.wait_list import NewWait
from fleet.forms.narrowing_fields import OneYard, offer_own_yards
from fleet.models import Machine, Person, Waiting
from fleet.queries.machine_classes import machine_classes
from fleet.queries.mine import machine_of
from scheduling.forms.counter_forms import BookingForm, TimedDaysForm
from scheduling.forms.hire_fields import HireFields, short_text


class WaitForm(TimedDaysForm):
    """Who waits for what; a tag, if one is written, narrows it to that machine."""

    customer = BookingForm.base_fields["customer"]
    phone = HireFields.base_fields["phone"]
    machine_class = forms.ModelChoiceField(
        machine_classes(), label="Class", empty_label="choose a class",
        error_messages={
            "required": "Say which class of machine.",
            "invalid_choice": "There is no such class; choose one from the list.",
        },
    )  # fmt: skip
    yard = OneYard(required=True, empty_label=None, label="From which yard")
    tag = short_text("This machine alone", 20, "its tag; empty: any of the class")
    note = short_text("Note", 300)
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    field_order = [
        "customer", "phone", "machine_class", "first_day", "from_time", "last_day", "to_time",
        "yard", "tag", "note", "form_key",
    ]  # fmt: skip

    def __init__(
        self, data: Any = None, *, person: Person, today: date, initial: dict[str, Any]
    ) -> None:
        super().__init__(data, today=today, initial=initial)
        self.person = person
        offer_own_yards(self, person)
        if "customer" in self.fields:
            self.fields["customer"].label = "Customer"

    def clean_tag(self) -> Machine | None:
        """Return the machine that is named, if one is."""
        tag = self.cleaned_data["tag"].strip()
        if not tag:
            return None
        machine = machine_of(self.person, tag)
        if machine is None:
            raise forms.ValidationError("No machine here carries that tag.")
        of = self.cleaned_data.get("machine_class")
        if of and machine.makeup.machine_class_id != of.pk:
            raise forms.ValidationError(f"{machine.tag} is no {of}; choose its class, or no tag.")
        return machine

    def who(self) -> HireFacts:
        """Return who waits, as typed."""
        return HireFacts(self.cleaned_data["customer"].strip(), self.cleaned_data["phone"])


class WaitChangeForm(WaitForm):
    """What somebody waits for, to be changed; who waits stays."""

    customer = None  # type: ignore[assignment]  # Django's way of leaving a field out
    phone = None  # type: ignore[assignment]
    form_key = None  # type: ignore[assignment]

    def __init__(self, data: Any, row: Waiting, *, person: Person, today: date) -> None:
        said = (
            "machine_class", "first_day", "from_time", "last_day", "to_time", "yard", "note",
        )  # fmt: skip
        initial = {name: getattr(row, name) for name in said}
        initial["tag"] = row.machine.tag if row.machine else ""
        super().__init__(data, person=person, today=today, initial=initial)

    def right(self, row: Waiting) -> NewWait:
        """Return what the wait should say."""
        typed = self.cleaned_data
        return NewWait(
            row.customer, typed["machine_class"], typed["yard"], typed["first_day"],
            typed["last_day"], typed["tag"], typed["note"].strip(),
            from_time=typed["from_time"], to_time=typed["to_time"],
        )  # fmt: skip
