"""Forms of a machine's life: another tag, another yard, retired, back, merged, its bookings."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from fleet.models import Machine, Person, Yard
from fleet.queries.mine import machine_of, yards_beside
from fleet.saying import say_span
from scheduling.actions.answer_bookings import BookingFate, Fate
from scheduling.forms.counter_forms import day_field
from scheduling.queries.swap_choices import AskedBooking

MOST_OFFERED = 12
"""Machines offered in the place of one; more are found at the counter."""


def reason_field(label: str, missing: str) -> forms.CharField:
    """Return the field for why something is done; it stays on record."""
    return forms.CharField(
        label=label, max_length=200, help_text="Kept on record with your name.",
        error_messages={
            "required": missing, "max_length": "Say it in at most 200 characters.",
        },
    )  # fmt: skip


class FatesForm(forms.Form):
    """What becomes of each booking that is still to come: one choice each."""

    keep_words = "Keep it: the machine will be ready by then"

    def __init__(
        self, data: Any = None, *, asked: Sequence[AskedBooking] = (), today: date
    ) -> None:
        super().__init__(data)
        self.today = today
        self.asked = {_name(one): one for one in asked}
        for name, one in self.asked.items():
            self.fields[name] = self._fate_field(one)

    def _fate_field(self, one: AskedBooking) -> forms.ChoiceField:
        days = say_span(one.booking.first_day, one.booking.last_day, self.today)
        swaps = [(str(m.pk), f"Give it {m.tag}, {m.yard}") for m in one.instead[:MOST_OFFERED]]
        hint = "" if swaps else "No other machine of the class may go out on these days."
        return forms.ChoiceField(
            label=f"{one.booking.customer}, {days}",
            required=False,
            help_text=hint,
            choices=[
                ("", "say what becomes of it"), *swaps,
                (Fate.KEEP.value, self.keep_words), (Fate.OFF.value, "Call it off"),
            ],
            error_messages={"invalid_choice": "That machine may no longer go; choose another."},
        )  # fmt: skip

    @property
    def plain_fields(self) -> list[Any]:
        """The fields before the bookings."""
        return [self[name] for name in self.fields if name not in self.asked]

    @property
    def fate_fields(self) -> list[Any]:
        """The choices of the bookings."""
        return [self[name] for name in self.asked]

    def want_all(self) -> None:
        """Ask for an answer to each booking."""
        for name in self.asked:
            if not self.cleaned_data.get(name) and name not in self.errors:
                self.add_error(name, "Say what becomes of this booking.")

    def fates(self) -> list[BookingFate]:
        """Return what was said of each booking."""
        found = []
        for name, one in self.asked.items():
            said = self.cleaned_data.get(name) or Fate.KEEP.value
            other = next((m for m in one.instead if str(m.pk) == said), None)
            fate = Fate.SWAP if other else Fate(said)
            found.append(BookingFate(one.booking, fate, other))
        return found


def _name(one: AskedBooking) -> str:
    return f"booking_{one.booking.pk}"


class BookingsForm(FatesForm):
    """What becomes of the bookings of a machine that stays where it is."""

    reason = reason_field("Why", "Say why: it is held, it is needed elsewhere.")


class RetireForm(FatesForm):
    """From which day, and why."""

    keep_words = "Leave it open: it stays a problem on the desk's list"
    day = day_field("From which day", "Say from which day it no longer works.")
    reason = reason_field("Why", "Say why it is retired: sold, scrapped, lost.")

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["day"].initial = self.today
        self.fields["day"].widget.attrs["max"] = self.today.isoformat()

    def clean(self) -> dict[str, Any]:
        """Want an answer to each booking."""
        given = super().clean() or {}
        self.want_all()
        return given


class MoveMachineForm(FatesForm):
    """To which yard, and why; bookings are asked about where another shop serves that yard."""

    keep_words = "Keep it: the machine goes out from its new yard"
    yard: forms.ModelChoiceField = forms.ModelChoiceField(
        None, label="New yard", empty_label="choose a yard",
        error_messages={
            "required": "Say to which yard.",
            "invalid_choice": "There is no such yard; choose one from the list.",
        },
    )  # fmt: skip
    reason = reason_field("Why", "Say why it moves.")

    def __init__(self, data: Any = None, *, machine: Machine, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.machine = machine
        yards = yards_beside(person, machine)
        self.fields["yard"].queryset = yards  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Want an answer to each booking where the machine leaves its desk."""
        given = super().clean() or {}
        yard: Yard | None = given.get("yard")
        if yard and yard.shop_id != self.machine.yard.shop_id:
            self.want_all()
        return given


class RenameForm(forms.Form):
    """Another tag, and why."""

    tag = forms.CharField(
        label="New tag", max_length=20,
        error_messages={
            "required": "Write the new tag.", "max_length": "A tag has at most 20 characters.",
        },
    )  # fmt: skip
    reason = reason_field("Why", "Say why it is renamed.")
    take_former = forms.BooleanField(
        label="Take this tag anyway", required=False, widget=forms.HiddenInput
    )

    def ask_take_former(self) -> None:
        """Show the tick that takes a tag which another machine gave up."""
        self.fields["take_former"].widget = forms.CheckboxInput()


class BackForm(forms.Form):
    """Why a retired machine works again."""

    reason = reason_field("Why", "Say why it works again.")


class MergeForm(forms.Form):
    """The other entry of the same machine, and how it is known."""

    other = forms.CharField(
        label="Tag of the other entry", max_length=40,
        error_messages={"required": "Write the tag of the other entry."},
    )  # fmt: skip
    reason = reason_field("How you know", "Say how you know: the plate, the papers.")
    sure = forms.BooleanField(
        label="I have looked at the frame: it is one machine", required=False,
        widget=forms.HiddenInput,
    )  # fmt: skip

    def __init__(self, data: Any = None, *, person: Person) -> None:
        super().__init__(data)
        self.person = person

    def clean_other(self) -> Machine:
        """Find the other entry among the machines that this person may look at."""
        tag = self.cleaned_data["other"].strip()
        found = machine_of(self.person, tag)
        if found is None:
            raise forms.ValidationError(f"No machine “{tag}” stands in your yards.")
        return found

    def ask_sure(self) -> None:
        """Show the tick that says that it is one machine although the serials differ."""
        self.fields["sure"].widget = forms.CheckboxInput()
