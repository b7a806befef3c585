"""The form that asks for a calendar address: of a desk, a yard or one machine."""

from typing import Any

from django import forms

from fleet.models import Machine, Person, Shop, Yard
from fleet.queries.mine import machine_of, shops_of, yards_of


class FeedForm(forms.Form):
    """Whose bookings the calendar is to show."""

    of = forms.ChoiceField(
        label="Bookings of",
        error_messages={
            "required": "Say whose bookings.",
            "invalid_choice": "That is not on the list; choose another.",
        },
    )
    tag = forms.CharField(
        required=False, max_length=40, label="or of one machine", help_text="its tag"
    )

    def __init__(self, person: Person, data: Any = None) -> None:
        """Offer the desks and yards of this person's shops."""
        super().__init__(data, auto_id="feed_%s")
        self.person = person
        self.places: dict[str, Shop | Yard] = {
            **{f"desk-{shop.pk}": shop for shop in shops_of(person)},
            **{f"yard-{yard.pk}": yard for yard in yards_of(person)},
        }
        self.fields["of"].choices = [  # type: ignore[attr-defined]
            (key, f"the whole desk of {place}" if isinstance(place, Shop) else str(place))
            for key, place in self.places.items()
        ]

    def clean(self) -> dict[str, Any]:
        """Find the machine, where one is named."""
        given = super().clean() or {}
        tag = given.get("tag", "").strip()
        given["machine"] = machine_of(self.person, tag) if tag else None
        if tag and given["machine"] is None:
            self.add_error("tag", "There is no machine of that tag here.")
        return given

    def whose(self) -> Shop | Yard | Machine:
        """Return whose bookings are wanted."""
        machine: Machine | None = self.cleaned_data["machine"]
        return machine or self.places[self.cleaned_data["of"]]
