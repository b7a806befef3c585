"""Forms of a customer's page: name and reach corrected, two entries made one; of a hire's page."""

from datetime import date
from typing import Any

from django import forms

from fleet.actions.class_lines import NewClassLine
from fleet.actions.correct_customers import CustomerCorrection
from fleet.forms.money_field import MoneyField
from fleet.forms.narrowing_fields import OneYard, offer_own_yards
from fleet.models import ClassLine, Customer, Hire, Person
from fleet.queries.customer_list import customers_like
from fleet.queries.machine_classes import machine_classes
from scheduling.forms.counter_forms import TimedDaysForm
from scheduling.forms.hire_fields import HireFields, MailField, short_text


class CustomerForm(forms.Form):
    """What an entry says of a customer, to be put right."""

    name = forms.CharField(
        max_length=120, label="Name",
        error_messages={
            "required": "Say what the customer is called.",
            "max_length": "Say it in at most 120 characters.",
        },
    )  # fmt: skip
    phone = short_text("Telephone", 40)
    mail = MailField()
    note = short_text("Note", 300)
    why = short_text("Why it is corrected", 300)

    def __init__(self, data: Any, customer: Customer) -> None:
        said = {name: getattr(customer, name) for name in ("name", "phone", "mail", "note")}
        super().__init__(data, initial=said)

    def right(self) -> CustomerCorrection:
        """Return what the entry should have said."""
        typed = self.cleaned_data
        return CustomerCorrection(typed["name"], typed["phone"], typed["mail"], typed["note"])


class MergeCustomerForm(forms.Form):
    """The number of the other entry of the same customer, and why."""

    other = forms.ModelChoiceField(
        customers_like(""), label="The other entry", empty_label=None,
        widget=forms.RadioSelect,
        error_messages={
            "required": "Say which entry is the same customer.",
            "invalid_choice": "There is no such entry any more.",
        },
    )  # fmt: skip
    why = short_text("How you know", 300)


class HireForm(forms.Form):
    """Site, purpose and notes of a hire, to be put right."""

    site = HireFields.base_fields["site"]
    purpose = HireFields.base_fields["purpose"]
    notes = HireFields.base_fields["notes"]

    def __init__(self, data: Any, hire: Hire) -> None:
        said = {name: getattr(hire, name) for name in ("site", "purpose", "notes")}
        super().__init__(data, initial=said)


class MoreForm(TimedDaysForm):
    """Which class is added to a hire, on which days, from which yard if it matters."""

    machine_class = forms.ModelChoiceField(
        machine_classes(), label="Class", empty_label="choose a class",
        error_messages={
            "required": "Say which class of machine.",
            "invalid_choice": "There is no such class; choose one from the list.",
        },
    )  # fmt: skip
    yard = OneYard()

    field_order = ["machine_class", "first_day", "from_time", "last_day", "to_time", "yard"]

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        asked = data if data and "machine_class" in data else None
        super().__init__(asked, auto_id="more_%s", **more)
        offer_own_yards(self, person)
        for name in ("from_time", "to_time"):
            self.fields[name].help_text = ""


class ClassLineForm(MoreForm):
    """What a promise of a class says, to be changed."""

    value = MoneyField(required=False, label="Value of the booking")
    why = short_text("Why it is changed", 300)

    def __init__(self, data: Any, line: ClassLine, *, person: Person, today: date) -> None:
        said = (
            "machine_class", "first_day", "from_time", "last_day", "to_time", "yard", "value",
        )  # fmt: skip
        initial = {name: getattr(line, name) for name in said}
        super().__init__(data, person=person, today=today, initial=initial)
        self.fields["yard"].required = True

    def right(self, line: ClassLine) -> NewClassLine:
        """Return what the line should say."""
        typed = self.cleaned_data
        return NewClassLine(
            line.hire, typed["machine_class"], typed["yard"], typed["first_day"],
            typed["last_day"], typed["value"], from_time=typed["from_time"],
            to_time=typed["to_time"],
        )  # fmt: skip
