"""Sheets of what a shop has more or less of for a while: bays, hands, hours."""

from typing import Any

from django import forms
from django.contrib import admin, messages
from django.http import HttpRequest

from fleet.admin.set_up_site import TellingSheet, site
from fleet.forms.lent_hand_form import LentHandForm
from fleet.models import BayLoan, CapacitySpell, LentHand


class PlanSheet(TellingSheet):
    """A sheet of what bears on plans alone, not on due points: the next plan takes it up."""

    def save_related(
        self, request: HttpRequest, form: forms.ModelForm, formsets: Any, change: bool
    ) -> None:
        """Save, and say when it will be seen in the plan."""
        super().save_related(request, form, formsets, change)
        messages.info(
            request, "The plan takes this up when it is made next, tonight at the latest."
        )


@admin.register(BayLoan, site=site)
class BayLoanSheet(PlanSheet):
    """Bays borrowed or lent out."""

    list_display = ["shop", "bays", "first_day", "last_day", "note"]
    list_filter = ["shop"]
    list_select_related = ["shop"]


@admin.register(LentHand, site=site)
class LentHandSheet(PlanSheet):
    """Somebody who works in a shop for some days only; they need no sign-in."""

    form = LentHandForm
    list_display = ["who", "shop", "first_day", "last_day", "hours", "note"]
    list_filter = ["shop"]
    list_select_related = ["shop", "person"]
    filter_horizontal = ["skills"]
    fieldsets = [
        (None, {"fields": ["shop", "first_day", "last_day", "hours", "note"]}),
        ("Who: a name, or one of your own people of another shop", {"fields": ["name", "person"]}),
        ("What they can do", {"fields": ["skills"]}),
    ]

    @admin.display(description="who")
    def who(self, obj: LentHand) -> str:
        """Name them."""
        return str(obj.person)


@admin.register(CapacitySpell, site=site)
class CapacitySpellSheet(PlanSheet):
    """Days on which a shop's people work more or less than usual."""

    list_display = ["reason", "shop", "share", "begins", "ends", "year", "overtime_limit_hours"]
    list_filter = ["shop"]
    list_select_related = ["shop"]
    fieldsets = [
        (None, {"fields": ["shop", "reason", "share", "overtime_limit_hours"]}),
        ("From", {"fields": [("first_month", "first_day")]}),
        ("To, the last day included", {"fields": [("last_month", "last_day")]}),
        ("When", {"fields": ["year"]}),
    ]

    @admin.display(description="from", ordering="first_month")
    def begins(self, obj: CapacitySpell) -> str:
        """Say the first day."""
        return obj.begins

    @admin.display(description="to", ordering="last_month")
    def ends(self, obj: CapacitySpell) -> str:
        """Say the last day."""
        return obj.ends
