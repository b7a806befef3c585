"""Forms of make-ups and machines: what they carry, hold and fit, in the units of the site."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.actions.fill_walk_rounds import fill_walk_round
from fleet.actions.fit_first_meters import FirstMeter, fit_first_meters
from fleet.forms.written_fields import PlacedForm, VolumeField, WrittenDayField
from fleet.makeup_traits import TRAITS, all_codes
from fleet.models import (
    Accessory,
    Alteration,
    FittingPart,
    Fluid,
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    MeterKind,
    Storage,
    Substitute,
    WalkRoundPoint,
)
from fleet.quantities import parse_use, plain_use, unit_of
from fleet.queries.set_up_choices import class_called, kinds_carried, kinds_to_ask

LAST = 100
"""The number of a point that was given none."""


class ClassForm(PlacedForm):
    """A class as the counter rents them out."""

    class Meta:
        model = MachineClass
        fields = [
            "name", "day_rate", "turn_round_minutes", "road_vehicle", "runs_on", "hours_included",
            "extra_hour_price", "fuel_price", "late_day_price", "cautions",
        ]  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fresh = self.instance.pk is None
        self.fields["turn_round_minutes"].required = False
        rows = self.fields["cautions"].queryset  # type: ignore[attr-defined]
        self.fields["cautions"].widget = forms.CheckboxSelectMultiple()
        # set after the widget, which takes its choices from there
        self.fields["cautions"].queryset = rows  # type: ignore[attr-defined]

    def after(self, row: MachineClass) -> None:
        """Give a new class the walk-round of its kind, unless one was typed with it."""
        if self.fresh:
            fill_walk_round(row)

    def clean_turn_round_minutes(self) -> int:
        """Take nothing typed as no time between."""
        return int(self.cleaned_data["turn_round_minutes"] or 0)


class NumberedForm(PlacedForm):
    """One row of a list in its order; without a number it comes last."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["position"].required = False

    def clean_position(self) -> int:
        """Let one without a number come last."""
        given = self.cleaned_data["position"]
        return int(LAST if given is None else given)


class AccessoryForm(NumberedForm):
    """One thing that goes with the machines of a class."""

    class Meta:
        model = Accessory
        fields = ["words", "position"]
        labels = {"words": "What goes with it", "position": "No."}


class WalkRoundPointForm(NumberedForm):
    """A point of a class's walk-round."""

    class Meta:
        model = WalkRoundPoint
        fields = ["position", "words", "safety", "source"]
        labels = {"position": "No.", "words": "What should be so", "safety": "Safety: holds it"}
        help_texts = {"position": "", "safety": "", "source": "rule or manual that asks for it"}


class SubstituteForm(PlacedForm):
    """A class that does in place of another."""

    class Meta:
        model = Substitute
        fields = ["instead"]
        labels = {"instead": "Class"}


A_TRAIT = "trait-"
"""How the names of the fields begin that say how a make-up is built."""


class MakeUpForm(PlacedForm):
    """A make-up; its class can be named here for the first time."""

    new_class = forms.CharField(
        required=False, max_length=60, label="Or a new class",
        help_text="as the counter rents them out: skid steer, quad",
    )  # fmt: skip
    field_order = ["machine_class", "new_class"]

    class Meta:
        model = MakeUp
        fields = ["machine_class", "maker", "model", "first_year", "last_year", "manual"]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["machine_class"].required = False
        for name, trait in TRAITS.items():
            self.fields[f"{A_TRAIT}{name}"] = forms.ChoiceField(
                required=False, label=trait.label,
                choices=[("", "not said"), *trait.builds.items()],
                initial=self.instance.traits.get(name, ""),
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Ask for the class: one that is there, or a new one."""
        given = super().clean()
        if name := given.get("new_class", "").strip():
            given["machine_class"] = class_called(name)
        if not given.get("machine_class"):
            self.add_error("machine_class", "Choose the class, or name a new one.")
        self.instance.traits = self._traits(given)
        return given

    def _traits(self, given: dict[str, Any]) -> dict[str, str]:
        """Return how it is built; what the form that was sent did not ask stays as it is."""
        asked = {name for name in TRAITS if f"{A_TRAIT}{name}" in self.data}
        said = {name: given.get(f"{A_TRAIT}{name}") or "" for name in asked}
        return {name: build for name, build in (self.instance.traits | said).items() if build}

    def _get_validation_exclusions(self) -> set[str]:
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        chosen = self.cleaned_data.get("machine_class")
        # a class that is new has no key yet; it is saved just before the make-up
        return excluded | {"machine_class"} if chosen and chosen.pk is None else excluded

    def after(self, row: MakeUp) -> None:
        """Give a class that was named here for the first time the walk-round of its kind."""
        if self.cleaned_data.get("new_class"):
            fill_walk_round(row.machine_class)


class MakeUpMeterForm(PlacedForm):
    """A kind of meter; what it rolls over at is read in the units of the site."""

    rolls_over_at = forms.CharField(
        required=False, max_length=40, label="Starts again at 0 after",
        help_text="where its digits end, such as 9999",
    )  # fmt: skip

    class Meta:
        model = MakeUpMeter
        fields = ["kind", "rolls_over_at"]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        at = self.instance.rolls_over_at
        if at is not None:
            self.initial["rolls_over_at"] = plain_use(at, self.instance.kind, self.place.units)

    def clean_rolls_over_at(self) -> float | None:
        """Read the value in the unit of the meter."""
        typed, kind = self.cleaned_data["rolls_over_at"], self.cleaned_data.get("kind")
        if not typed or not kind:
            return None
        try:
            return parse_use(typed, kind, self.place.units)
        except ValueError as no:
            raise ValidationError(str(no)) from None


class FluidForm(PlacedForm):
    """A fluid that a make-up holds."""

    capacity_ml = VolumeField(label="Capacity")

    class Meta:
        model = Fluid
        fields = ["place", "grade", "capacity_ml", "part"]
        labels = {"part": "On the shelf it is"}
        help_texts = {"place": "engine oil, coolant, hydraulic oil", "part": ""}


class FittingPartForm(PlacedForm):
    """A part that fits at a place."""

    class Meta:
        model = FittingPart
        fields = ["place", "part", "quantity", "instead"]
        help_texts = {"place": "oil filter, air filter, belt"}


class MachineForm(PlacedForm):
    """A machine; one that is new gets the meters of its make-up, with what they show."""

    started_on = WrittenDayField(
        required=False, label="First day of work",
        help_text="first intervals count from here; empty if nobody knows",
    )  # fmt: skip

    class Meta:
        model = Machine
        fields = [
            "tag", "makeup", "yard", "serial", "serial_unreadable", "serial_shared", "year",
            "started_on", "day_rate", "duty_factor", "notes",
        ]  # fmt: skip
        labels = {"makeup": "Make-up", "tag": "Fleet tag"}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.instance.pk:
            # renamed and moved on the machine's own page, which asks what becomes of its bookings
            del self.fields["tag"], self.fields["yard"]
        asked = kinds_to_ask(self.instance)
        self.asked = [kind for kind in MeterKind if kind in asked]
        units = self.instance.yard.units if self.instance.pk else self.place.units
        for kind in self.asked:
            unit, label = unit_of(kind, units), kind.label
            self.fields[f"now_{kind}"] = forms.CharField(
                required=False, max_length=40, label=f"{label} shows now, {unit}"
            )
            self.fields[f"first_{kind}"] = forms.CharField(
                required=False, max_length=40, label=f"{label} showed on the first day, {unit}",
                help_text="empty: 0, it came new",
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Read what the meters show; refuse a first day that is still to come."""
        given = super().clean()
        if given.get("started_on") and given["started_on"] > self.place.today:
            self.add_error("started_on", "That day is still to come.")
        self.meters: list[FirstMeter] = []
        if makeup := given.get("makeup"):
            carried = kinds_carried(makeup)
            for kind in self.asked:
                self._read(kind, given, carries=kind in carried)
        return given

    def _read(self, kind: MeterKind, given: dict[str, Any], *, carries: bool) -> None:
        now, first = self._use(f"now_{kind}", kind, given), self._use(f"first_{kind}", kind, given)
        if not carries:
            if now is not None or first is not None:
                label = kind.label.lower()
                self.add_error(f"now_{kind}", f"{given['makeup']} has no {label}; leave it empty.")
            return
        if now is not None and first is not None and now < first:
            self.add_error(f"now_{kind}", "It cannot show less now than on the first day.")
        self.meters.append(FirstMeter(kind, first, now))

    def _use(self, name: str, kind: MeterKind, given: dict[str, Any]) -> float | None:
        """Read a value in the units of the machine's yard."""
        yard = given.get("yard") or (self.instance.yard if self.instance.pk else None)
        if not given.get(name):
            return None
        try:
            return parse_use(given[name], kind, yard.units if yard else self.place.units)
        except ValueError as no:
            self.add_error(name, str(no))
            return None

    def after(self, row: Machine) -> None:
        """Fit the meters that it lacks."""
        fit_first_meters(row, self.meters, by=self.place.person, now=self.place.now)


class StorageForm(PlacedForm):
    """A time in storage."""

    first_day = WrittenDayField()
    last_day = WrittenDayField(required=False, help_text="empty: stored until further notice")

    class Meta:
        model = Storage
        fields = ["first_day", "last_day", "reason"]

    def clean(self) -> dict[str, Any]:
        """Refuse a time that ends before it begins."""
        given = super().clean()
        first, last = given.get("first_day"), given.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", "The last day is before the first; swap them.")
        return given


class AlterationForm(PlacedForm):
    """How a machine differs from its make-up."""

    fitted_on = WrittenDayField(required=False)
    build = forms.ChoiceField(
        required=False, label="It has since", choices=[("", "as its make-up"), *all_codes()],
        help_text="steps of a service are chosen by it",
    )  # fmt: skip

    class Meta:
        model = Alteration
        fields = ["text", "fitted_on", "build", "slows", "extra_minutes"]
        labels = {"text": "What was changed", "slows": "Service that it slows"}

    def clean(self) -> dict[str, Any]:
        """Note who says so."""
        if self.instance.pk is None:
            self.instance.noted_by, self.instance.noted_at = self.place.person, self.place.now
        return super().clean()
