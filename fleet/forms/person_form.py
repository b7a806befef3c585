"""The form of a person: role, shop, hours of the week, and a password set by a manager."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from fleet.actions.keep_week import keep_working_hours
from fleet.forms.written_fields import PlacedForm, WrittenDayField
from fleet.models import Absence, Person, Qualification, Role
from fleet.models.people import MANAGING
from fleet.models.places import WEEKDAYS
from fleet.queries import thing_lists
from fleet.queries.set_up_choices import (
    hours_of_week,
    only_shop,
    other_managers,
    signs_in_already,
)
from fleet.queries.shop_reach import an_owner_is_there, as_it_stands, within

USUAL_HOURS = 8.0
LAST_WORKDAY = 4
"""Friday; Monday is 0."""


class PersonForm(PlacedForm):
    """A person with the hours that they work, one field a weekday."""

    username = forms.CharField(
        max_length=150, label="Name to sign in with", validators=[Person.username_validator],
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )  # fmt: skip
    password = forms.CharField(
        required=False, max_length=128, label="New password",
        help_text="Hand it over yourself. Empty: it stays as it is.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip

    class Meta:
        model = Person
        fields = ["username", "first_name", "last_name", "email", "role", "shop", "home_yard",
                  "is_active"]  # fmt: skip
        labels = {"is_active": "Works here and may sign in"}
        help_texts = {
            "email": "lists and warnings go there",
            "shop": "empty: all shops",
            "is_active": "The book keeps the names of people who left.",
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.asked_anew = self.instance.pk is None
        works = hours_of_week(self.instance)
        by = self.place.person
        yards = within(by, thing_lists.yards())
        self.fields["home_yard"].queryset = yards  # type: ignore[attr-defined]
        self.fields["shop"].required = by.only_shop_id is not None  # empty would be all shops
        if not by.owns:
            kept = [(value, label) for value, label in Role.choices if value != Role.OWNER]
            self.fields["role"].choices = kept  # type: ignore[attr-defined]
        if self.instance.pk is None and (shop := only_shop()):
            self.initial["shop"] = shop.pk
        for day, name in enumerate(WEEKDAYS):
            usual = USUAL_HOURS if day <= LAST_WORKDAY and not self.instance.pk else None
            self.fields[f"hours_{day}"] = forms.FloatField(
                required=False, min_value=0, max_value=24, label=name,
                initial=works.get(day, usual),
                help_text="" if day else "hours in the shop, which the plan fills; empty: off",
            )  # fmt: skip

    def clean_username(self) -> str:
        """Refuse the name of somebody else."""
        name: str = self.cleaned_data["username"]
        if signs_in_already(name, self.instance):
            raise ValidationError("Somebody signs in by that name already; choose another.")
        return name

    def clean(self) -> dict[str, Any]:
        """Check the password, and keep one manager at the least."""
        given = super().clean()
        if given.get("password"):
            try:
                validate_password(given["password"], self.instance)
            except ValidationError as no:
                self.add_error("password", no)
        self._keep_somebody(given)
        if given.get("role") == Role.HAND:
            self._fit_for_a_hand(given)
        return given

    def _fit_for_a_hand(self, given: dict[str, Any]) -> None:
        """Ask for the shop, and for no password: a hand signs in by a code or a link."""
        if not given.get("shop") and "shop" not in self.errors:
            self.add_error("shop", "A ranch hand is of one shop; say of which.")
        if given.get("password"):
            self.add_error(
                "password",
                "A ranch hand signs in by a code or a link, made after this; no password.",
            )
        yard = given.get("home_yard")
        if yard and given.get("shop") and yard.shop_id != given["shop"].pk:
            self.add_error("home_yard", f"{yard} is a yard of another shop.")

    def _keep_somebody(self, given: dict[str, Any]) -> None:
        """Refuse that the last who manages the fleet goes, or the last owner."""
        one, stays = self.instance, given.get("is_active")
        if one.pk is None:
            return
        field = "role" if stays else "is_active"
        manages = stays and (given.get("role") in MANAGING or one.is_superuser)
        owns = stays and (given.get("role") == Role.OWNER or one.is_superuser)
        # the form has put what was typed into its row by now: what stood is asked anew
        stood = as_it_stands(one)
        if stood.manages and not manages and not other_managers(one):
            self.add_error(field, "The last manager cannot go: nobody could set the site up.")
        elif stood.owns and not owns and not an_owner_is_there(but=one):
            self.add_error(field, "The last owner cannot go: nobody could look after all shops.")

    def _post_clean(self) -> None:
        super()._post_clean()  # type: ignore[misc]
        if self.cleaned_data.get("password"):
            self.instance.set_password(self.cleaned_data["password"])
        elif self.instance.pk is None or ("role" in self.changed_data and self._with_hands()):
            # another one by chance ends every session: a phone signed in for long is a hand's alone
            self.instance.set_unusable_password()

    def _with_hands(self) -> bool:
        """Whether somebody becomes a hand, or is one no longer."""
        return Role.HAND in (self.cleaned_data.get("role"), self.initial.get("role"))

    def after(self, row: Person) -> None:
        """Keep the hours, which the plan fills; those that stood there already, of a mechanic."""
        days = [f"hours_{day}" for day in range(7)]
        if self.asked_anew and row.role != Role.MECHANIC and not set(days) & set(self.changed_data):
            return
        keep_working_hours(
            row, {day: self.cleaned_data[name] or None for day, name in enumerate(days)}
        )


class QualificationForm(PlacedForm):
    """A skill held, and until when."""

    valid_until = WrittenDayField(
        required=False, help_text="last day on which it holds; empty: without an end"
    )

    class Meta:
        model = Qualification
        fields = ["skill", "valid_until", "certificate"]


class AbsenceForm(PlacedForm):
    """Days away."""

    first_day = WrittenDayField()
    last_day = WrittenDayField()

    class Meta:
        model = Absence
        fields = ["first_day", "last_day", "reason"]
