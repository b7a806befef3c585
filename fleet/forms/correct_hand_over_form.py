"""The form that puts a check-out or return right, filled with what it says."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms

from fleet.actions.correct_hand_overs import HandOverCorrection
from fleet.actions.particulars import particulars_of
from fleet.forms.hand_over_form import (
    HAS_NONE,
    IN_ORDER,
    NOT_IN_ORDER,
    NOT_LOOKED_AT,
    POINT_CHOICES,
    MeterText,
    PointField,
)
from fleet.forms.particulars_fields import (
    initial_particulars,
    particulars_fields,
    read_particulars,
)
from fleet.forms.why_field import WhyCorrectedField
from fleet.intake.reading_dates import parse_when
from fleet.models import HandOver, MeterKind, Reading
from fleet.quantities import parse_use, plain_use, unit_of
from fleet.queries.dials import kinds_at
from fleet.queries.handed_readings import readings_at
from fleet.queries.judge_readings import ReadingRefused
from fleet.queries.points_of_class import accessories_of, points_of
from fleet.refusal import Refusal
from fleet.validation.answer_words import WORDS
from fleet.validation.reasons import ODD, ReadingAnswer


class CorrectHandOverForm(forms.Form):
    """One hand-over as it should have been written; an empty meter was not read."""

    when = forms.CharField(
        label="It was at", max_length=40,
        widget=forms.TextInput(attrs={"type": "datetime-local"}),
    )  # fmt: skip
    note = forms.CharField(
        required=False, max_length=300, label="Note", widget=forms.Textarea(attrs={"rows": 2})
    )
    why = WhyCorrectedField()

    def __init__(self, data: Mapping[str, Any] | None, row: HandOver, now: datetime) -> None:
        self.row, self.now = row, now
        self.yard = row.booking.machine.yard
        self.local = f"{row.at.astimezone(self.yard.zone):%Y-%m-%dT%H:%M}"
        self.readings = readings_at(row)
        self.asks_sure = False
        super().__init__(data, initial={"when": self.local, "note": row.note})
        for reading in self.readings:
            self.fields[f"reading_{reading.pk}"] = self._meter_field(reading)
        self.forgotten = self._not_read()
        for kind in self.forgotten:
            self.fields[f"forgotten_{kind}"] = self._forgotten_field(kind)
        known = {
            one.words: one.safety for one in points_of(row.booking.machine.makeup.machine_class)
        }
        self.add_particulars(row)
        self.points = {**dict.fromkeys(row.walk_round, False), **known}
        for number, point in enumerate(self.points):
            self.fields[f"point_{number}"] = forms.ChoiceField(
                choices=POINT_CHOICES, label=point, widget=forms.RadioSelect,
                initial=self._how(point),
                error_messages={"required": NOT_LOOKED_AT, "invalid_choice": NOT_LOOKED_AT},
            )  # fmt: skip
        meters = (f"reading_{one.pk}" for one in self.readings)
        self.order_fields(["when", *meters, *(f"forgotten_{kind}" for kind in self.forgotten)])

    def add_particulars(self, row: HandOver) -> None:
        """Ask for fuel, what goes along, who took it and its use, as they are written down."""
        machine_class = row.booking.machine.makeup.machine_class
        known = dict.fromkeys([*row.accessories, *accessories_of(machine_class)])
        self.accessories = list(known)
        out = row.direction == HandOver.Direction.OUT
        fields = particulars_fields(machine_class.runs_on, self.accessories, out=out)
        self.particulars = [name for name in fields if not name.endswith("signature")]
        self.fields.update({name: fields[name] for name in self.particulars})
        self.initial.update(initial_particulars(row, self.accessories))

    def _how(self, point: str) -> str:
        fine = self.row.walk_round.get(point)
        if fine is None:
            return HAS_NONE
        return IN_ORDER if fine else NOT_IN_ORDER

    def _meter_field(self, reading: Reading) -> forms.CharField:
        kind = reading.meter.kind
        unit = unit_of(kind, self.yard.units)
        text = MeterText(f"{reading.meter.get_kind_display()} showed, {unit}")
        text.initial = plain_use(reading.value, kind, self.yard.units)
        text.help_text = "Empty: it was not read."
        return text

    def _not_read(self) -> list[MeterKind]:
        """Return the kinds of meters that the machine had then and of which no reading stands."""
        read = {one.meter.kind for one in self.readings}
        return [
            kind for kind in kinds_at(self.row.booking.machine, self.row.at) if kind not in read
        ]

    def _forgotten_field(self, kind: MeterKind) -> forms.CharField:
        text = MeterText(f"{kind.label} showed, {unit_of(kind, self.yard.units)}")
        text.help_text = "No reading was written down then. Empty: it was not read."
        return text

    def clean(self) -> dict[str, Any]:
        """Read the moment and the meters in the yard's zone and units."""
        typed = super().clean() or {}
        typed["at"] = self._moment(typed.get("when", ""))
        typed["values"] = {reading.pk: self._value(reading) for reading in self.readings}
        found = {kind: self._added(kind) for kind in self.forgotten}
        typed["added"] = {kind: value for kind, value in found.items() if value is not None}
        return typed

    def _moment(self, text: str) -> datetime | None:
        if not text or text == self.local:
            return self.row.at  # the form knows minutes alone
        try:
            return parse_when(text, self.yard.zone, self.now).at
        except ValueError as no:
            self.add_error("when", str(no))
            return None

    def _value(self, reading: Reading) -> float | None:
        name = f"reading_{reading.pk}"
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        if text == self.fields[name].initial:
            return reading.value
        try:
            return parse_use(text, reading.meter.kind, self.yard.units)
        except ValueError as no:
            self.add_error(name, str(no))
            return None

    def _added(self, kind: MeterKind) -> float | None:
        name = f"forgotten_{kind}"
        text = self.cleaned_data.get(name, "").strip()
        try:
            return parse_use(text, kind, self.yard.units) if text else None
        except ValueError as no:
            self.add_error(name, str(no))
            return None

    def right(self) -> HandOverCorrection:
        """Return what the hand-over should have said."""
        typed = self.cleaned_data
        seen = {point: typed[f"point_{n}"] for n, point in enumerate(self.points)}
        points = {point: how == IN_ORDER for point, how in seen.items() if how != HAS_NONE}
        safety = frozenset(point for point, safe in self.points.items() if safe)
        more = read_particulars(typed, self.accessories, before=particulars_of(self.row))
        return HandOverCorrection(
            typed["at"], points, typed["note"].strip(), typed["values"], typed["added"], safety,
            more,
        )  # fmt: skip

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
        name = no.field
        if isinstance(no, ReadingRefused):
            of_kind = [one for one in self.readings if one.meter.kind == no.new.kind]
            name = f"reading_{of_kind[0].pk}" if of_kind else f"forgotten_{no.new.kind}"
            self.asks_sure = no.verdict.reason in ODD
        self.add_error(name if name in self.fields else None, no.sentence)

    def plain_fields(self) -> list[forms.BoundField]:
        """Return the moment and the meters."""
        forgotten = (self[f"forgotten_{kind}"] for kind in self.forgotten)
        return [self["when"], *(self[f"reading_{one.pk}"] for one in self.readings), *forgotten]

    def particular_fields(self) -> list[forms.BoundField]:
        """Return fuel, what goes along, who took it and its use."""
        return [self[name] for name in self.particulars]

    def point_fields(self) -> list[PointField]:
        """Return the points of the walk-round."""
        return [
            PointField(self[f"point_{number}"], safety)
            for number, safety in enumerate(self.points.values())
        ]
