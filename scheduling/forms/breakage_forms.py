"""What broke today beside people, parts and work: a bay, and a machine."""

from django import forms

from fleet.models import Machine, Shop
from fleet.queries.shop_machines import working_machine
from scheduling.actions.report_breakdowns import Breakdown
from scheduling.forms.counter_forms import day_field
from scheduling.forms.day_change_forms import ChangeForm, hours_field, reason_field
from scheduling.trial.changes import BayLost, BrokeDown, Change


class BayLostForm(ChangeForm):
    """Bays that cannot be used."""

    what, title = "bay", "A bay lost"
    bays = forms.IntegerField(
        label="How many bays", initial=1, min_value=1, max_value=50,
        error_messages={
            "required": "Say how many bays.", "invalid": "Write a whole number, such as 1.",
            "min_value": "Say how many bays; at least one.",
        },
    )  # fmt: skip
    first = day_field("First day", "Say from which day.")
    last = day_field("Last day", "Say until which day.")
    reason = reason_field()

    def clean_bays(self) -> int:
        """Refuse more bays than the shop has."""
        bays: int = self.cleaned_data["bays"]
        if bays > self.shop.bays:
            raise forms.ValidationError(f"{self.shop} has only {self.shop.bays}; say fewer.")
        return bays

    def change(self) -> Change:
        """Return the bays with their days."""
        given = self.cleaned_data
        return BayLost(given["bays"], given["first"], given["last"], given["reason"])


class BrokeDownForm(ChangeForm):
    """A machine that broke down: it is held at once, and its repair is planned."""

    what, title = "broke-down", "A machine broke down"
    machine = forms.CharField(
        label="Which machine", max_length=40, help_text="its fleet tag",
        error_messages={"required": "Say which machine: its fleet tag."},
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )  # fmt: skip
    text = forms.CharField(
        label="What is wrong", max_length=300,
        help_text="It is held at once: nobody takes it out until it is released.",
        error_messages={"required": "Say in a few words what is wrong."},
    )  # fmt: skip
    hours = hours_field("Hours to put it right, as a guess", 2, 0.25, 100)

    def clean_machine(self) -> Machine:
        """Find the machine among those of the shop."""
        said = self.cleaned_data["machine"].strip()
        found = working_machine(self.shop, said)
        if found is None:
            raise forms.ValidationError(f"No machine of {self.shop} has the tag “{said}”.")
        return found

    def change(self) -> Change:
        """Return what broke."""
        machine = self.cleaned_data["machine"]
        return BrokeDown(machine.pk, machine.tag, self.cleaned_data["text"])

    def breakdown(self) -> Breakdown:
        """Return what is to be written down at once."""
        given = self.cleaned_data
        return Breakdown(given["machine"], given["text"], round(60 * given["hours"]))


def offered_with_breakdown(shop: Shop, kinds: list[type[ChangeForm]]) -> list[type[ChangeForm]]:
    """Return the kinds with that of a machine, which comes first; not where there is no bay."""
    return [BrokeDownForm, *(kind for kind in kinds if shop.bays or kind is not BayLostForm)]
