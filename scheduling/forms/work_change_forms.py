"""What is to change on a copy of the plan: parts and single pieces of work."""

from datetime import date
from typing import Any

from django import forms

from fleet.models import Part, Shop, Units
from fleet.quantities import parse_number, parse_volume
from fleet.queries.parts_of_shop import counted_parts, deliveries_to_come
from fleet.queries.who_works import working_in
from fleet.saying import short_date
from fleet.tongues.phrase_book import spoken
from scheduling.forms.counter_forms import day_field
from scheduling.forms.day_change_forms import ChangeForm, hours_field, person_field
from scheduling.queries.planned_work import work_of, work_on_days
from scheduling.trial.changes import Change, Moved, PartGone, PartLate, TakesLonger

PIECES_OR_QUARTS = "pieces; of a fluid in qt, or with its unit, such as 2 gal"
MOST_ON_A_SHELF = 10_000_000
"""Pieces, or mL of a fluid."""
NOT_PLANNED = "This work is no longer in the plan; look at the page again, it may be done."


class WorkChoice(forms.ModelChoiceField):
    """One piece of work of the shop's plan, by its key."""

    def label_from_instance(self, obj: Any) -> str:
        """Return machine, work and the day on which it stands."""
        day = obj.job.day if obj.job else None
        stands = short_date(day, day) if day else "beyond the plan"
        return f"{obj.machine.tag}: {spoken(obj.title)}, {spoken(stands)}"


def work_field() -> WorkChoice:
    """Return a field for planned work; the form says of which shop."""
    return WorkChoice(
        None, label="Work", to_field_name="work_key", empty_label="choose",
        error_messages={"required": "Say which work.", "invalid_choice": NOT_PLANNED},
    )  # fmt: skip


class DeliveryChoice(forms.ModelChoiceField):
    """One delivery that has not come yet."""

    def label_from_instance(self, obj: Any) -> str:
        """Return the part, how many, and the day on which it is expected."""
        day = short_date(obj.expected_on, obj.expected_on)
        return spoken(f"{spoken(obj.part.name)}, {obj.quantity:g}, expected {day}")


class LateForm(ChangeForm):
    """A delivery on another day."""

    what, title = "late", "A part late"
    delivery = DeliveryChoice(
        None, label="Delivery", empty_label="choose",
        error_messages={
            "required": "Say which delivery.",
            "invalid_choice": "This delivery is not on its way here; it may have arrived.",
        },
    )  # fmt: skip
    day = day_field("Comes on", "Say on which day it comes.")

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        self.fields["delivery"].queryset = deliveries_to_come(shop)  # type: ignore[attr-defined]

    def change(self) -> Change:
        """Return the delivery's new day."""
        row = self.cleaned_data["delivery"]
        return PartLate(
            delivery=row.pk, part=row.part_id, name=row.part.name, quantity=row.quantity,
            day=self.cleaned_data["day"], expected=row.expected_on, latest=row.latest_on,
        )  # fmt: skip


class MovedForm(ChangeForm):
    """Work on a day, and with a mechanic if one is named."""

    what, title = "moved", "Work moved to a day"
    work = work_field()
    day = day_field("Day", "Say on which day.")
    mechanic = person_field("Mechanic")

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        self.fields["work"].queryset = work_of(shop)  # type: ignore[attr-defined]
        mechanic = self.fields["mechanic"]
        mechanic.queryset = working_in(shop)  # type: ignore[attr-defined]
        mechanic.empty_label = "any mechanic"  # type: ignore[attr-defined]
        mechanic.required = False

    def change(self) -> Change:
        """Return the move."""
        row, mechanic = self.cleaned_data["work"], self.cleaned_data["mechanic"]
        return Moved(
            row.machine_id, row.machine.tag, row.work_key, row.title,
            self.cleaned_data["day"], mechanic.username if mechanic else None,
        )  # fmt: skip


class PartChoice(forms.ModelChoiceField):
    """One part or fluid that the shop keeps count of."""

    def label_from_instance(self, obj: Any) -> str:
        """Return number and name."""
        return f"{spoken(obj.name)} ({obj.number})"


class GoneForm(ChangeForm):
    """A part that is not there after all."""

    what, title = "gone", "A part turns out to be missing"
    part = PartChoice(
        None, label="Part", empty_label="choose",
        error_messages={
            "required": "Say which part.",
            "invalid_choice": "The shop does not count that part, so no plan depends on it.",
        },
    )  # fmt: skip
    left = forms.CharField(
        label="How much is there", initial="0", max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={"required": "Say how much is there; 0 if none."},
    )  # fmt: skip

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        self.units = shop.units
        self.fields["part"].queryset = counted_parts(shop)  # type: ignore[attr-defined]
        litres = shop.units == Units.METRIC
        self.fields["left"].help_text = "pieces; of a fluid in L" if litres else PIECES_OR_QUARTS

    def clean(self) -> dict[str, Any]:
        """Read what is left as the part is counted, once both are given."""
        given: dict[str, Any] = super().clean() or {}
        part, typed = given.get("part"), given.get("left")
        if part is not None and typed:
            try:
                given["left"] = self._amount(typed, part)
            except ValueError as no:
                self.add_error("left", str(no))
        return given

    def _amount(self, typed: str, part: Part) -> float:
        """Return pieces, or mL of a fluid, which is typed as the shop measures it."""
        fluid = part.kind == Part.Kind.FLUID
        left = parse_volume(typed, self.units) if fluid else parse_number(typed)
        if left < 0:
            raise ValueError("A count cannot be below zero.")
        if left > MOST_ON_A_SHELF:
            raise ValueError("That is more than a shelf holds; check the digits.")
        return left

    def change(self) -> Change:
        """Return what is left of the part."""
        part = self.cleaned_data["part"]
        return PartGone(part.pk, part.name, self.cleaned_data["left"])


class LongerForm(ChangeForm):
    """Work that takes longer than planned."""

    what, title = "longer", "A job takes longer"
    work = work_field()
    hours = hours_field("Hours it takes in all from now on", 4, 0.25, 100)

    def __init__(self, shop: Shop, today: date, data: Any = None) -> None:
        super().__init__(shop, today, data)
        self.fields["work"].queryset = work_on_days(shop)  # type: ignore[attr-defined]

    def change(self) -> Change:
        """Return the minutes that it takes."""
        row = self.cleaned_data["work"]
        minutes = round(60 * self.cleaned_data["hours"])
        return TakesLonger(row.machine_id, row.machine.tag, row.work_key, row.title, minutes)
