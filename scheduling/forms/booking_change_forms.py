"""What is to change on a copy of the plan: bookings, and machines that are out."""

from datetime import date
from typing import Any

from django import forms

from fleet.actions.make_bookings import clash_until
from fleet.models import MachineClass, Shop
from fleet.queries.machine_classes import machine_classes
from fleet.queries.shop_machines import bookings_out, machines_in, working_machine
from fleet.saying import short_date
from scheduling.availability.counter_facts import Days
from scheduling.forms.counter_forms import day_field
from scheduling.forms.day_change_forms import ChangeForm
from scheduling.queries.may_go_out import may_go_out, which_may
from scheduling.trial.changes import BackLate, Booked, Change


class BookedForm(ChangeForm):
    """A booking taken: of one machine, or of whichever of a class may go out."""

    what, title = "booked", "A booking taken"
    tag = forms.CharField(label="Machine, by its tag", required=False, max_length=40)
    machine_class = forms.ModelChoiceField(
        machine_classes(), required=False, label="Or any machine of a class",
        empty_label="no class",
        error_messages={"invalid_choice": "There is no such class; choose one from the list."},
    )  # fmt: skip
    first = day_field("First day", "Say from which day.")
    last = day_field("Last day", "Say until which day.")
    customer = forms.CharField(
        label="Customer or ranch job", max_length=120,
        error_messages={"required": "Say for whom the machine is."},
    )  # fmt: skip
    value = forms.FloatField(
        label="Value of the booking", required=False, min_value=0, max_value=99_999_999,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={
            "invalid": "Write the value in digits, such as 480 or 480.50.",
            "min_value": "A value below zero cannot be right.",
            "max_value": "That is more than a booking can be worth; check the digits.",
        },
    )  # fmt: skip

    def clean_first(self) -> date:
        """Refuse a day that is past."""
        return self._not_past("first")

    def clean(self) -> dict[str, Any]:
        """Find the machine, and refuse one that cannot go out on these days."""
        given = super().clean()
        if self.errors:
            return given
        tag, chosen = given["tag"].strip(), given["machine_class"]
        if not tag and not chosen:
            self.add_error("tag", "Say which machine, or which class.")
        elif tag:
            self._take_machine(tag)
        else:
            self._take_one_of(chosen)
        return given

    def _take_machine(self, tag: str) -> None:
        machine = working_machine(self.shop, tag)
        if machine is None:
            self.add_error("tag", f"No machine “{tag}” stands in the yards of this shop.")
            return
        answer = may_go_out(
            machine, self.cleaned_data["first"], self.cleaned_data["last"], self.today
        )
        if answer.final:
            self.add_error("tag", answer.sentence)
        self.machine = machine

    def _take_one_of(self, chosen: MachineClass) -> None:
        days = Days(self.cleaned_data["first"], self.cleaned_data["last"])
        answers = which_may(chosen, days, self.today, among=machines_in(self.shop))
        free = [answer for answer in answers if not answer.final]
        if not free:
            self.add_error("machine_class", "None of this class may go out on these days.")
            return
        self.machine = free[0].machine

    def change(self) -> Change:
        """Return the booking."""
        given = self.cleaned_data
        return Booked(
            self.machine.pk, self.machine.tag, given["first"], given["last"],
            given["customer"].strip(), given["value"],
        )  # fmt: skip


class OutChoice(forms.ModelChoiceField):
    """One booking whose machine is out."""

    def label_from_instance(self, obj: Any) -> str:
        """Return machine, customer, and the day on which it was to come back."""
        day = short_date(obj.last_day, obj.last_day)
        return f"{obj.machine.tag}, {obj.customer}, to be back after {day}"


class BackLateForm(ChangeForm):
    """A machine that does not come back in time."""

    what, title = "back-late", "A machine does not come back in time"
    booking = OutChoice(
        None, label="Machine", empty_label="choose",
        error_messages={
            "required": "Say which machine.",
            "invalid_choice": "That machine is not out; it may be back already.",
        },
    )  # fmt: skip
    day = day_field("Out until", "Say until which day it stays out.")

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        self.fields["booking"].queryset = bookings_out(shop)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Refuse a day that is not later, and days that are promised to another."""
        given = super().clean()
        booking, day = given.get("booking"), given.get("day")
        if not (booking and day):
            return given
        if day <= booking.last_day:
            said = short_date(booking.last_day, self.today)
            self.add_error("day", f"It was to be out until {said} anyway; say a later day.")
        elif other := clash_until(booking, day):
            said = short_date(other.first_day, self.today)
            self.add_error(
                "day",
                f"It is booked for {other.customer} from {said}; move that booking first.",
            )
        return given

    def change(self) -> Change:
        """Return the new last day."""
        row = self.cleaned_data["booking"]
        return BackLate(row.pk, row.machine_id, row.machine.tag, self.cleaned_data["day"])
