"""Choices by which lists are narrowed down: a yard, a class, a service, or every one of them."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from fleet.models import Person, Shop, Yard
from fleet.queries.entry_choices import services_by_name
from fleet.queries.machine_classes import machine_classes
from fleet.queries.mine import yards_in, yards_of


class OneYard(forms.ModelChoiceField):
    """A yard, or every yard; the form says which are offered (`offer_yards`)."""

    def __init__(self, **more: Any) -> None:
        """Offer no yard until it is known who asks."""
        wrong = {"invalid_choice": "There is no such yard; choose one from the list."}
        shown: dict[str, Any] = {
            "required": False,
            "empty_label": "every yard",
            "error_messages": wrong,
        }
        super().__init__(None, **(shown | more))


class OneClass(forms.ModelChoiceField):
    """A class of machines, or every class."""

    def __init__(self) -> None:
        """Offer all classes."""
        wrong = {"invalid_choice": "There is no such class; choose one from the list."}
        super().__init__(
            machine_classes(), required=False, label="Class", empty_label="every class",
            error_messages=wrong,
        )  # fmt: skip


class OneService(forms.ModelChoiceField):
    """A service, or every service."""

    def __init__(self) -> None:
        """Offer all services."""
        wrong = {"invalid_choice": "There is no such service; choose one from the list."}
        super().__init__(
            services_by_name(), required=False, empty_label="every service", error_messages=wrong
        )


def offer_yards(form: forms.Form, yards: QuerySet[Yard]) -> None:
    """Let the form's field `yard` offer these yards."""
    field = form.fields["yard"]
    assert isinstance(field, OneYard)
    field.queryset = yards


def offer_own_yards(form: forms.Form, person: Person) -> None:
    """Let the form's field `yard` offer the yards of this person's shops."""
    offer_yards(form, yards_of(person))


def offer_yards_of(form: forms.Form, shop: Shop) -> None:
    """Let the form's field `yard` offer a shop's own yards, and say so of any other."""
    offer_yards(form, yards_in(shop))
    form.fields["yard"].error_messages["invalid_choice"] = (
        "This yard is not of the shop that is shown; choose one from the list."
    )
