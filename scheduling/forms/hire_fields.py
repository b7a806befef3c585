"""What a booking says beside machine and days: customer, how to reach them, site, purpose."""

from datetime import date
from typing import Any

from django import forms

from fleet.actions.open_hires import HireFacts
from fleet.folded_names import phone_key
from fleet.models import Hire
from fleet.queries.customer_list import LastSeen, known_as
from fleet.saying import short_date

SAME, ANOTHER = "same", "another"


def short_text(label: str, most: int, hint: str = "") -> forms.CharField:
    """Return a field for a few words, not asked for."""
    return forms.CharField(
        required=False, max_length=most, label=label, help_text=hint,
        error_messages={"max_length": f"Say it in at most {most} characters."},
    )  # fmt: skip


class MailField(forms.EmailField):
    """A mail address, not asked for."""

    def __init__(self) -> None:
        super().__init__(
            required=False, max_length=254, label="Mail",
            error_messages={
                "invalid": "That is no mail address; write it as name@example.org.",
                "max_length": "That is too long for a mail address.",
            },
        )  # fmt: skip


class HireFields(forms.Form):
    """Who books and what for; a form that is about a hire that stands does not ask it again.

    Somebody of a known name whose telephone number is another is asked about once: the same
    customer, or somebody else.
    """

    phone = short_text("Telephone", 40)
    mail = MailField()
    site = short_text("Site", 120, "where it works")
    purpose = short_text("Purpose", 120, "what it is for")
    notes = forms.CharField(
        required=False, max_length=500, label="Notes", widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": "Say it in at most 500 characters."},
    )  # fmt: skip
    in_house = forms.BooleanField(required=False, label="A ranch job, within the house")
    same = forms.ChoiceField(
        required=False, label="Who is it?", choices=[(SAME, ""), (ANOTHER, "")],
        widget=forms.RadioSelect,
    )  # fmt: skip

    today: date
    HIRE_FIELDS = ("phone", "mail", "site", "purpose", "notes", "in_house", "same")

    def __init__(self, *args: Any, hire: Hire | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hire = hire
        self.known: LastSeen | None = None
        if hire:
            for name in ("customer", *self.HIRE_FIELDS):
                self.fields.pop(name, None)
        else:
            self.fields["customer"].widget.attrs |= {
                "list": "customers-known", "autocomplete": "off",
            }  # fmt: skip
            self.fields["phone"].widget.attrs |= {"inputmode": "tel", "autocomplete": "off"}

    def clean(self) -> dict[str, Any]:
        """Ask whether somebody is meant who is known by that name with another number."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        if self.hire or typed.get("in_house") or not typed.get("customer"):
            return typed
        self.known = known_as(typed["customer"])
        if self._is_odd(typed) and not typed.get("same"):
            assert self.known is not None
            self._offer(self.known)
            self.add_error("same", "Somebody of that name is known with another number.")
        return typed

    def _is_odd(self, typed: dict[str, Any]) -> bool:
        if self.known is None:
            return False
        number, known = phone_key(typed.get("phone", "")), self.known.customer.phone_key
        return bool(number and known and number != known)

    def _offer(self, known: LastSeen) -> None:
        since = f" of {short_date(known.day, self.today)}" if known.day else ""
        same = self.fields["same"]
        assert isinstance(same, forms.ChoiceField)
        same.choices = [
            (SAME, f"The same customer{since}, with a new number"),
            (ANOTHER, "Somebody else of that name"),
        ]

    @property
    def asks_same(self) -> bool:
        """Whether the page shows the question who it is."""
        return "same" in self.fields and bool(self.errors.get("same") or self.data.get("same"))

    def who(self) -> HireFacts | None:
        """Return who books, as typed; None where the hire stands already."""
        if self.hire:
            return None
        typed = self.cleaned_data
        return HireFacts(
            typed["customer"].strip(),
            typed["phone"],
            typed["mail"],
            typed["site"],
            typed["purpose"],
            typed["notes"],
            typed["in_house"],
            another=typed["same"] == ANOTHER,
        )
