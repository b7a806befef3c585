"""Sheets of machine classes, make-ups, machines and their meters."""

from collections.abc import Iterable

from django.contrib import admin, messages
from django.forms import ModelForm
from django.http import HttpRequest

from fleet.admin.set_up_site import AddedRows, FactSheet, SheetRows, TellingSheet, site
from fleet.forms.machine_sheet_form import MachineSheetForm
from fleet.identity import serial_warning
from fleet.models import (
    Alteration,
    FittingPart,
    Fluid,
    Interval,
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Meter,
    Reading,
    Storage,
)


@admin.register(MachineClass, site=site)
class MachineClassSheet(TellingSheet):
    """A class as the counter rents them out."""

    list_display = ["name", "day_rate", "road_vehicle"]


class MakeUpMeterRows(SheetRows):
    """Kinds of meter that its machines carry."""

    model = MakeUpMeter


class FluidRows(SheetRows):
    """Fluids and capacities."""

    model = Fluid


class FittingPartRows(SheetRows):
    """Parts that fit."""

    model = FittingPart


class IntervalRows(SheetRows):
    """Intervals of its services; the whole sheet of one is under Intervals."""

    model = Interval
    fields = ["service", "meter_kind", "every", "first_at", "every_months", "anchor", "hard"]
    show_change_link = True


@admin.register(MakeUp, site=site)
class MakeUpSheet(TellingSheet):
    """A make-up: meters, fluids, parts and intervals."""

    list_display = ["__str__", "machine_class", "first_year", "last_year"]
    list_filter = ["machine_class"]
    search_fields = ["maker", "model"]
    inlines = [MakeUpMeterRows, FluidRows, FittingPartRows, IntervalRows]

    def machines_touched(self, obj: MakeUp) -> Iterable[int]:
        """All machines of the make-up."""
        return obj.machines.values_list("pk", flat=True)


class AlterationRows(SheetRows):
    """How it differs from its make-up."""

    model = Alteration
    exclude = ["noted_by", "noted_at"]


class StorageRows(SheetRows):
    """Times in storage."""

    model = Storage


class MeterRows(AddedRows):
    """Meters as they were fitted; swapped and put right on the machine's page."""

    model = Meter
    fields = ["kind", "fitted_at", "first_value", "life_at_fitting", "rolls_over_at"]


@admin.register(Machine, site=site)
class MachineSheet(TellingSheet):
    """A machine: identity, home, meters, alterations, storage."""

    form = MachineSheetForm
    list_display = ["tag", "makeup", "serial", "yard", "year", "started_on", "retired_on"]
    list_filter = ["yard", "makeup__machine_class"]
    list_select_related = ["makeup", "yard"]
    search_fields = ["tag", "serial"]
    autocomplete_fields = ["makeup"]
    inlines = [MeterRows, AlterationRows, StorageRows]

    def get_readonly_fields(self, request: HttpRequest, obj: Machine | None = None) -> list[str]:
        """Tag, yard and retiring are changed on the machine's page, where bookings are asked."""
        return ["tag", "yard", "retired_on", "retired_why"] if obj else []

    def machines_touched(self, obj: Machine) -> Iterable[int]:
        """Itself."""
        return [obj.pk] if obj.pk else []

    def save_model(self, request: HttpRequest, obj: Machine, form: ModelForm, change: bool) -> None:
        """Save, and warn of a serial whose check digit does not fit; it is kept all the same."""
        super().save_model(request, obj, form, change)
        road = obj.makeup.machine_class.road_vehicle
        if warning := serial_warning(obj.serial, road_vehicle=road, year=obj.year):
            messages.warning(request, warning)


@admin.register(Reading, site=site)
class ReadingSheet(FactSheet):
    """What the meters showed."""

    list_display = ["meter", "read_at", "value", "source", "read_by", "really_so"]
    list_filter = ["source"]
    list_select_related = ["meter__machine", "read_by"]
    search_fields = ["meter__machine__tag"]
