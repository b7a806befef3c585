"""The choice of a yard among those of the person's own shops."""

from typing import Any

from django import forms

from fleet.models import Person
from fleet.queries.mine import yards_of


class OwnYard(forms.ModelChoiceField):
    """A yard, or every yard; the form offers the person's own with `offer_own_yards`."""

    def __init__(self, **more: Any) -> None:
        """Offer no yard until it is known who asks."""
        wrong = {"invalid_choice": "There is no such yard; choose one from the list."}
        shown: dict[str, Any] = {
            "required": False,
            "empty_label": "every yard",
            "error_messages": wrong,
        }
        super().__init__(None, **(shown | more))


def offer_own_yards(form: forms.Form, person: Person) -> None:
    """Let the form's field `yard` offer the yards of this person's shops."""
    field = form.fields["yard"]
    assert isinstance(field, OwnYard)
    field.queryset = yards_of(person)
