"""The form that puts an entry of the service book right, filled with what the entry says."""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from secrets import token_hex
from typing import Any

from django import forms
from django.db.models import QuerySet

from fleet.actions.correct_records import work_of
from fleet.actions.record_work import MeasuredValue, WorkDone, measured_value
from fleet.forms.answer_fields import AnswerFields
from fleet.forms.doubts import Doubts
from fleet.forms.why_field import WhyCorrectedField
from fleet.intake.reading_dates import parse_when
from fleet.measured_values import parse_measured
from fleet.models import Limit, Meter, Part, Reading, ServiceRecord
from fleet.numerals import parse_number
from fleet.possible_values import beyond_possible, odd_measurement, odd_volume
from fleet.quantities import QUART, parse_use, plain_use, unit_of
from fleet.queries.entry_choices import (
    fluids_taken,
    limits_to_measure,
    meters_at,
    parts_by_name,
    services_by_name,
    who_could_do,
)
from fleet.queries.judge_readings import ReadingRefused
from fleet.refusal import Refusal
from fleet.saying import capital
from fleet.validation.answer_words import WORDS
from fleet.validation.reasons import ODD, ReadingAnswer

LITRE = 1000.0
"""Millilitres in a litre."""


@dataclass(frozen=True)
class _Size:
    """The unit in which a part is typed, and how many stored units it is."""

    unit: str
    size: float

    def of(self, quantity: float) -> str:
        return f"{quantity / self.size:.5g}"


def _size_of(part: Part, units: str) -> _Size:
    if part.kind != Part.Kind.FLUID:
        return _Size("pieces", 1.0)
    return _Size("qt", QUART) if units == "us" else _Size("L", LITRE)


class RecordForm(AnswerFields):
    """One entry of the book as it should have been written."""

    service: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, required=False, label="What was done", empty_label="Repair"
    )
    when = forms.CharField(
        label="Done at", max_length=40, widget=forms.TextInput(attrs={"type": "datetime-local"})
    )
    done_by: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, required=False, label="Done by", empty_label="not said"
    )
    minutes = forms.IntegerField(
        label="Minutes of work", required=False, min_value=1, max_value=6000,
        error_messages={
            "min_value": "Write at least one minute.",
            "max_value": "Write at most 6,000 minutes; that is 100 hours of work.",
        },
    )  # fmt: skip
    cost = forms.DecimalField(
        label="Cost", required=False, min_value=Decimal(0), max_digits=10, decimal_places=2
    )
    note = forms.CharField(
        label="Note for the book", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    more_part: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, required=False, label="Another part or fluid used", empty_label="none"
    )
    more_quantity = forms.CharField(
        label="How much of it", required=False, max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )  # fmt: skip
    why = WhyCorrectedField()
    form_key = forms.CharField(widget=forms.HiddenInput, max_length=32)

    def __init__(self, data: Any, record: ServiceRecord, now: datetime) -> None:
        self.record, self.now = record, now
        self.yard = record.machine.yard
        self.said = work_of(record)
        self.local = f"{record.done_at.astimezone(self.yard.zone):%Y-%m-%dT%H:%M}"
        self.asks_sure = False
        self.doubts = Doubts(data or {})
        super().__init__(data, initial=self._initial())
        _choose(self, "service", services_by_name())
        _choose(self, "done_by", who_could_do(record))
        _choose(self, "more_part", parts_by_name())
        self.meters = meters_at(record)
        self.limits = limits_to_measure(record)
        self.parts = dict(self.said.parts)
        for meter in self.meters:
            self.fields[f"meter_{meter.pk}"] = self._meter_field(meter)
        for limit in self.limits:
            for name, place in self._places(limit).items():
                self.fields[name] = self._limit_field(limit, place)
        for part, quantity in self.parts.items():
            self.fields[f"part_{part.pk}"] = self._part_field(part, quantity)
        self.order_fields(["service", "when", "done_by", *self._own_fields(), "more_part"])
        self.add_answer_fields(self.yard.units)

    def _own_fields(self) -> list[str]:
        """Return the fields that this entry has: its meters, what is measured, its parts."""
        return [name for name in self.fields if name.split("_")[-1].isdecimal()]

    def _initial(self) -> dict[str, Any]:
        return {
            "service": self.record.service_id,
            "when": self.local,
            "done_by": self.record.done_by_id,
            "minutes": self.record.minutes,
            "cost": self.record.cost,
            "note": self.record.note,
            "form_key": token_hex(16),
        }

    def _meter_field(self, meter: Meter) -> forms.CharField:
        shown = {one.meter.pk: one.value for one in self.said.readings}
        value = shown.get(meter.pk)
        unit = unit_of(meter.kind, self.yard.units)
        field = _number_field(f"{meter.get_kind_display()}, {unit}")
        field.initial = "" if value is None else plain_use(value, meter.kind, self.yard.units)
        return field

    def _places(self, limit: Limit) -> dict[str, str]:
        """Return the fields of a limit, each with its place: where it is asked, and where it was.

        "" is the place of what is measured once; one that the limit has no longer still has what
        was measured there.
        """
        was = {place for pk, place in self._was() if pk == limit.pk}
        asked = limit.each_place or ("",)
        places = [*asked, *sorted(was - set(asked))]
        return {f"limit_{limit.pk}" + (f"_{n}" if n else ""): place
                for n, place in enumerate(places)}  # fmt: skip

    def _was(self) -> dict[tuple[int, str], float]:
        """Return what the entry says was measured: limit and place -> value."""
        values = map(measured_value, self.said.measured)
        return {(one.limit.pk, one.place): one.value for one in values}

    def _limit_field(self, limit: Limit, place: str) -> forms.CharField:
        was = self._was().get((limit.pk, place))
        field = _number_field(capital(", ".join(filter(None, (limit.name, place, limit.unit)))))
        field.widget.attrs["inputmode"] = "text"  # keys for numbers have no minus on a phone
        field.initial = "" if was is None else f"{was:.10g}"
        return field

    def _part_field(self, part: Part, quantity: float) -> forms.CharField:
        size = _size_of(part, self.yard.units)
        field = _number_field(f"{part.name}, {size.unit}")
        field.initial = size.of(quantity)
        return field

    def clean(self) -> dict[str, Any]:
        """Read the moment and the numbers in the yard's zone and units."""
        typed = super().clean() or {}
        if typed.get("when"):
            typed["done_at"] = self._moment(typed["when"])
        typed["readings"] = [
            Reading(meter=meter, value=value)
            for meter in self.meters
            if (value := self._meter(meter)) is not None
        ]
        typed["measured"] = [
            MeasuredValue(limit, value, place)
            for limit in self.limits
            if limit.service_id == getattr(typed.get("service"), "pk", None)
            for name, place in self._places(limit).items()
            if (value := self._measured(limit, name)) is not None
        ]
        typed["parts"] = self._used(typed)
        typed["answers"] = self.answers()
        return typed

    def entry_fields(self) -> list[Any]:
        """Return the fields of the entry as a whole; those of its steps stand apart."""
        steps = ("at_step_", "filled_")
        return [self[name] for name in self.fields if not name.startswith(steps)]

    def _measured(self, limit: Limit, name: str) -> float | None:
        """Read what was measured; what is odd for its limit, and new, is asked about."""
        text = self.cleaned_data.get(name, "").strip()
        known = text == self.fields[name].initial
        try:
            value = parse_measured(text, limit.unit) if text else None
        except ValueError as no:
            self.add_error(name, str(no))
            return None
        if value is not None and not known:
            bounds = {"low": limit.low, "high": limit.high}
            possible = {"least": limit.possible_low, "most": limit.possible_high}
            oddity = beyond_possible(value, name=limit.name, **possible) or odd_measurement(
                value, name=limit.name, unit=limit.unit, **bounds
            )
            self.doubts.weigh(self, name, oddity)
        return value

    def _moment(self, text: str) -> datetime | None:
        if text == self.local:
            return self.record.done_at  # the form knows minutes alone
        try:
            return parse_when(text, self.yard.zone, self.now).at
        except ValueError as no:
            self.add_error("when", str(no))
            return None

    def _meter(self, meter: Meter) -> float | None:
        name = f"meter_{meter.pk}"
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        if text == self.fields[name].initial:
            return next(one.value for one in self.said.readings if one.meter.pk == meter.pk)
        try:
            return parse_use(text, meter.kind, self.yard.units)
        except ValueError as no:
            self.add_error(name, str(no))
            return None

    def _used(self, typed: dict[str, Any]) -> list[tuple[Part, float]]:
        used = []
        takes = fluids_taken(self.record, typed.get("service"))
        for part, before in self.parts.items():
            name, size = f"part_{part.pk}", _size_of(part, self.yard.units)
            if typed.get(name, "").strip() == self.fields[name].initial:
                used.append((part, before))
            elif number := self._plain(name):
                used.append((part, number * size.size))
                self._weigh_volume(name, part, number, takes)
        more = typed.get("more_part")
        number = self._plain("more_quantity")
        if more and not number:
            self.add_error("more_quantity", "Say how much of it was used.")
        elif more and number:
            used.append((more, number * _size_of(more, self.yard.units).size))
            self._weigh_volume("more_quantity", more, number, takes)
        return used

    def _weigh_volume(self, name: str, part: Part, number: float, takes: dict[int, float]) -> None:
        """Ask about more of a fluid than the work takes; number: in the unit that was typed."""
        size = _size_of(part, self.yard.units)
        if part.kind == Part.Kind.FLUID and part.pk in takes:
            oddity = odd_volume(number, takes[part.pk] / size.size, name=part.name, unit=size.unit)
            self.doubts.weigh(self, name, oddity)

    def _plain(self, name: str) -> float | None:
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        try:
            return parse_number(text)
        except ValueError:
            self.add_error(name, f"“{text}” is not a number; write it in digits, such as 2.5.")
            return None

    def work(self) -> WorkDone:
        """Return the entry as it should have been."""
        typed = self.cleaned_data
        return replace(
            self.said,
            service=typed["service"],
            done_at=typed["done_at"],
            done_by=typed["done_by"],
            minutes=typed["minutes"],
            note=f"{typed['note'].strip()} {self.doubts.note}".strip(),
            cost=typed["cost"],
            readings=typed["readings"],
            measured=typed["measured"],
            parts=typed["parts"],
            answers=typed["answers"],
            form_key=typed["form_key"],
        )

    @property
    def sure(self) -> bool:
        """Whether it was answered that the meter really showed that."""
        return bool(self.data.get("answer") == ReadingAnswer.REALLY_SO)

    @property
    def sure_words(self) -> str:
        """The answer that is offered to an odd value."""
        return str(WORDS[ReadingAnswer.REALLY_SO])

    def refuse(self, no: Refusal) -> None:
        """Show a refusal at its field; an odd value may be so all the same."""
        name = {"done_at": "when"}.get(no.field, no.field)
        if isinstance(no, ReadingRefused):
            at = [meter for meter in self.meters if meter.kind == no.new.kind]
            name = f"meter_{at[0].pk}" if at else ""
            self.asks_sure = no.verdict.reason in ODD
        self.add_error(name if name in self.fields else None, no.sentence)


def _number_field(label: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )


class StrikeForm(forms.Form):
    """Why a fact was not so."""

    why = forms.CharField(
        label="Why", max_length=200,
        error_messages={"required": "Say why it is struck; it stays on record with your name."},
    )  # fmt: skip


def _choose(form: forms.Form, name: str, rows: QuerySet[Any]) -> None:
    """Offer these rows, as they are when the form is made."""
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = rows
