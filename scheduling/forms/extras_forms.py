"""Photos and charges of a hand-over as they are sent: pictures, an amount, a why."""

from datetime import datetime
from typing import Any

from django import forms

from fleet.actions.keep_photos import Developed, developed
from fleet.actions.keep_with_hand_over import MOST_PHOTOS, NewCharge
from fleet.forms.money_field import MoneyField
from fleet.photos_aside import PhotosAside
from fleet.refusal import Refusal
from scheduling.actions.take_hand_over import KeptAlong
from scheduling.forms.hire_fields import short_text
from scheduling.forms.photos_field import PhotosField, SeveralFiles


class PhotosForm(forms.Form):
    """Photos, and what they show."""

    photos = PhotosField(
        label="Photos", help_text="JPEG, PNG or WebP; place and device are not kept",
        widget=SeveralFiles(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )  # fmt: skip
    says = short_text("What they show", 120)


class WithHandOverForm(forms.Form):
    """Photos and charges of a hand-over, sent with it.

    by_rule: whether the class has a rule of the shop's for returns, which is then offered.  aside:
    where its photos are kept while it is refused; kept: those that are.
    """

    photos = PhotosField(
        required=False, label="Photos",
        help_text="JPEG, PNG or WebP, 6 at most; place and device are not kept",
        widget=SeveralFiles(
            attrs={"accept": "image/jpeg,image/png,image/webp", "capture": "environment"}
        ),
    )  # fmt: skip
    photos_say = short_text("What they show", 120)
    leave_out = forms.BooleanField(required=False, label="Leave them out")
    by_rule = forms.BooleanField(
        required=False, initial=True,
        label="Charge what the shop’s rule for this class says: hours, fuel, days late",
    )  # fmt: skip
    charge_what = short_text("Charge something else: what for", 120)
    charge_amount = MoneyField(required=False, label="How much", max_digits=9)

    def __init__(
        self, *args: Any, by_rule: bool = False, aside: PhotosAside | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.aside = aside
        self.kept: Developed = aside.photos() if aside else {}
        if not by_rule:
            del self.fields["by_rule"]

    def clean(self) -> dict[str, Any]:
        """Ask for both halves of a charge."""
        typed = super().clean() or self.cleaned_data
        what, amount = typed.get("charge_what", "").strip(), typed.get("charge_amount")
        if what and amount is None and "charge_amount" not in self.errors:
            self.add_error("charge_amount", "Say how much.")
        if amount is not None and not what:
            self.add_error("charge_what", "Say what it is for.")
        return typed

    def look(self) -> Developed:
        """Return the photos as they are kept; what is none of them becomes a fault of the form.

        Those that were sent before are among them, unless they are to be left out.
        """
        if self.cleaned_data.get("leave_out"):
            self.kept = {}
        try:
            made = {**self.kept, **developed(self.cleaned_data.get("photos") or ())}
        except Refusal as no:
            self.add_error("photos", no.sentence)
            return self.kept
        if len(made) > MOST_PHOTOS:
            self.add_error("photos", f"A hand-over keeps {MOST_PHOTOS} photos at most.")
            return self.kept
        self.kept = made
        return made

    def put_aside(self, now: datetime) -> None:
        """Keep its photos for the next time that it is sent."""
        if self.aside and self.is_bound:
            if self.cleaned_data.get("leave_out"):
                self.aside.let_go()
            if self.kept:
                self.aside.put(self.kept, now)

    def let_go(self) -> None:
        """Keep its photos aside no longer."""
        if self.aside:
            self.aside.let_go()

    def along(self, form_key: str, made: Developed, *, whole: bool = True) -> KeptAlong:
        """Return what is to be kept with the hand-over of a form.

        whole: with its charges; of a form that has faults the photos alone are kept.
        """
        typed = self.cleaned_data
        if not whole:
            return KeptAlong(made, typed.get("photos_say", ""))
        what, amount = typed["charge_what"].strip(), typed["charge_amount"]
        own = [NewCharge(what, amount, f"{form_key}-charge")] if what else []
        return KeptAlong(made, typed["photos_say"], own, by_rule=bool(typed.get("by_rule")))


class ChargeForm(forms.Form):
    """What is charged, and how much."""

    what = forms.CharField(
        max_length=120, label="What for",
        error_messages={
            "required": "Say what it is for.",
            "max_length": "Say it in at most 120 characters.",
        },
    )  # fmt: skip
    amount = MoneyField(label="How much", max_digits=9, error_messages={
        "required": "Say how much.",
    })  # fmt: skip
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)
