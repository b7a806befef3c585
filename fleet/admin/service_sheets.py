"""Sheets of services, intervals, cautions, stock, and the facts of the book."""

from collections.abc import Iterable
from typing import Any

from django.contrib import admin
from django.forms import ModelForm
from django.http import HttpRequest
from django.utils import timezone

from fleet.access import signed_in
from fleet.actions.delay_deliveries import delay_delivery
from fleet.admin.set_up_site import AddedRows, FactSheet, SheetRows, TellingSheet, site
from fleet.forms.service_form import ServiceForm
from fleet.models import (
    Caution,
    Covering,
    Delivery,
    Interval,
    Limit,
    Machine,
    Part,
    Person,
    Service,
    ServiceNeed,
    ServiceRecord,
    ServiceStep,
    SetUp,
    StockMovement,
)


@admin.register(Caution, site=site)
class CautionSheet(TellingSheet):
    """A caution with its signal word and source."""

    list_display = ["code", "signal", "text", "source"]
    list_filter = ["signal"]


@admin.register(SetUp, site=site)
class SetUpSheet(TellingSheet):
    """What is got ready once a visit."""

    list_display = ["name", "minutes", "cost"]


class StepRows(SheetRows):
    """Steps in order."""

    model = ServiceStep


class NeedRows(SheetRows):
    """What it takes from the shelf."""

    model = ServiceNeed


class LimitRows(SheetRows):
    """What to measure."""

    model = Limit
    fk_name = "service"


@admin.register(Service, site=site)
class ServiceSheet(TellingSheet):
    """A service: steps, cautions, parts, limits, what it follows and keeps apart from."""

    form = ServiceForm
    list_display = ["name", "minutes", "skill", "second_minutes", "blocks_rental", "invented"]
    search_fields = ["name", "code"]
    filter_horizontal = ["cautions", "set_ups", "follows", "apart_from"]
    inlines = [StepRows, NeedRows, LimitRows]

    def machines_touched(self, obj: Service) -> Iterable[int]:
        """Machines of every make-up that has an interval of it, and those with one of their own."""
        of_makeup = Machine.objects.filter(makeup__intervals__service=obj)
        own = Machine.objects.filter(intervals__service=obj)
        return {*of_makeup.values_list("pk", flat=True), *own.values_list("pk", flat=True)}


@admin.register(Interval, site=site)
class IntervalSheet(TellingSheet):
    """When a service recurs.  Take it from the machine's own manual and write where it stands."""

    list_display = ["service", "makeup", "machine", "every", "every_months", "anchor", "hard"]
    list_filter = ["hard", "anchor", "meter_kind"]
    list_select_related = ["service", "makeup", "machine"]
    autocomplete_fields = ["service", "makeup", "machine"]
    fieldsets = [
        (None, {"fields": ["service", "makeup", "machine", "source", "hard"]}),
        ("On a meter", {"fields": ["meter_kind", "every", "first_at"]}),
        (
            "On the calendar",
            {
                "fields": [
                    "every_months",
                    "every_days",
                    "first_months",
                    "first_days",
                    "end_of_month",
                    "season_month",
                    "season_day",
                    "idle_months",
                ]
            },
        ),
        (
            "Window",
            {
                "fields": [
                    "early",
                    "late",
                    "early_percent",
                    "late_percent",
                    "meter_cap",
                    "early_days",
                    "late_days",
                    "days_cap",
                ]
            },
        ),
        ("Next due point", {"fields": ["anchor"]}),
    ]

    def machines_touched(self, obj: Interval) -> Iterable[int]:
        """Its machine, or all machines of its make-up."""
        if obj.machine_id:
            return [obj.machine_id]
        return Machine.objects.filter(makeup=obj.makeup_id).values_list("pk", flat=True)


@admin.register(Covering, site=site)
class CoveringSheet(TellingSheet):
    """What counts as done with what on a make-up; its intervals' own pages show it ticked."""

    list_display = ["makeup", "service", "covered"]
    list_select_related = ["makeup", "service", "covered"]
    autocomplete_fields = ["makeup", "service", "covered"]

    def machines_touched(self, obj: Covering) -> Iterable[int]:
        """All machines of its make-up."""
        return Machine.objects.filter(makeup=obj.makeup_id).values_list("pk", flat=True)


class DeliveryRows(SheetRows):
    """On order; a day that moved keeps its old one on record."""

    model = Delivery
    can_delete = False
    fields = [
        "shop",
        "quantity",
        "ordered_on",
        "expected_on",
        "latest_on",
        "said_by",
        "received_at",
    ]


def _moved(form: ModelForm, by: Person) -> None:
    """Write down the change of a delivery's days, with who gave them as the note."""
    given = form.cleaned_data
    delivery = Delivery.objects.get(pk=form.instance.pk)
    if delivery.received_at is None:
        delay_delivery(
            delivery,
            expected_on=given["expected_on"],
            latest_on=given["latest_on"],
            by=by,
            at=timezone.now(),
            note=given["said_by"],
        )


class MovementRows(AddedRows):
    """What came and went; a wrong count is put right by another row."""

    model = StockMovement
    fields = ["shop", "quantity", "reason", "at", "by", "note"]


@admin.register(Part, site=site)
class PartSheet(TellingSheet):
    """A part or a fluid: shelf and orders."""

    list_display = ["number", "name", "kind", "cost"]
    search_fields = ["number", "name"]
    inlines = [DeliveryRows, MovementRows]

    def save_formset(
        self, request: HttpRequest, form: ModelForm, formset: Any, change: bool
    ) -> None:
        """Save rows; days of a delivery that moved are written beside the old ones first."""
        if formset.model is Delivery:
            for each in formset.initial_forms:
                if each.cleaned_data and {"expected_on", "latest_on"} & set(each.changed_data):
                    _moved(each, signed_in(request))
        super().save_formset(request, form, formset, change)

    def machines_touched(self, obj: Part) -> Iterable[int]:
        """Machines of the make-ups that it fits."""
        fits = Machine.objects.filter(makeup__fitting_parts__part=obj)
        holds = Machine.objects.filter(makeup__fluids__part=obj)
        return {*fits.values_list("pk", flat=True), *holds.values_list("pk", flat=True)}


@admin.register(ServiceRecord, site=site)
class ServiceRecordSheet(FactSheet):
    """The service book, all machines."""

    list_display = ["machine", "service", "done_at", "done_by", "minutes", "void"]
    list_select_related = ["machine", "service", "done_by"]
    search_fields = ["machine__tag", "service__name"]
    date_hierarchy = "done_at"
