"""The form of a job sheet: what was done, meters, measurements, parts, findings."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms

from fleet.actions.lay_down_work import LONGEST_LEFT
from fleet.forms.doubts import Doubts
from fleet.models import Finding, Limit, Meter, MeterKind, Part, Person, Role, Service
from fleet.numerals import parse_number
from fleet.possible_values import odd_measurement, odd_volume
from fleet.quantities import QUART, parse_use, unit_of
from fleet.validation import ReadingAnswer, answer_words
from scheduling.actions.finish_job import (
    DoneWork,
    FinishedJob,
    JobReading,
    MeterRefused,
    RepairGuess,
)
from scheduling.queries.job_sheet import JobSheet, SheetWork
from scheduling.queries.shelf_needs import Need

AGAIN = (ReadingAnswer.MISTYPED.value, "Mistyped: I have typed it again above")
"""The answer of a form that holds the whole job: it is sent again as a whole."""
LITRE = 1000.0
"""Millilitres in a litre."""
MINUS = ("-", "−", "–")
"""What people type before a number below zero."""


class JobForm(forms.Form):
    """Made of a job sheet: one field a meter, a limit and a part, besides the fixed ones."""

    form_key = forms.CharField(widget=forms.HiddenInput, max_length=32)
    unread = forms.BooleanField(label="A meter cannot be read", required=False)
    minutes = forms.IntegerField(
        label="Minutes of work",
        required=False,
        min_value=1,
        max_value=1440,
        error_messages={
            "min_value": "Write at least one minute.",
            "max_value": "A day has 1,440 minutes; write what this job took.",
        },
    )
    note = forms.CharField(
        label="Note for the book", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    finding = forms.CharField(
        label="Something else seen",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    gravity = forms.ChoiceField(
        label="How bad",
        choices=Finding.Gravity.choices,
        required=False,
        initial=Finding.Gravity.NOTE,
        widget=forms.RadioSelect,
        help_text="A defect is planned as work; not safe holds the machine at once.",
    )

    repair_minutes = forms.IntegerField(
        label="Minutes to put it right",
        required=False,
        min_value=1,
        max_value=LONGEST_LEFT,
        help_text="A guess, for the plan; empty: an hour.",
        error_messages={
            "min_value": "Write at least one minute.",
            "max_value": "Write at most 30,000 minutes; that is 500 hours of work.",
        },
    )
    repair_second = forms.IntegerField(
        label="Of these with a second person",
        required=False,
        min_value=0,
        max_value=1440,
        error_messages={"max_value": "A day has 1,440 minutes."},
    )
    repair_days = forms.BooleanField(label="It may take several days", required=False)

    def __init__(
        self, sheet: JobSheet, data: Mapping[str, Any] | None = None, by: Person | None = None
    ) -> None:
        """Make the fields that this machine's sheet needs; by: who writes it."""
        self.sheet = sheet
        self.units = sheet.machine.yard.units
        self.choices: dict[str, list[tuple[str, str]]] = {}
        self.doubts = Doubts(data or {})
        super().__init__(data, initial={"form_key": uuid.uuid4().hex})
        self.people = {one.username: one for one in [*sheet.workers, *([by] if by else [])]}
        if len(self.people) > 1:
            self.fields["done_by"] = self._people_field(by)
        for meter in sheet.meters:
            self.fields[_reading_name(meter.kind)] = self._meter_field(meter)
        for limit in self._limits():
            self.fields[_limit_name(limit)] = _limit_field(limit)
        for need in self._kept():
            self.fields[_part_name(need.part)] = self._part_field(need)

    def _people_field(self, by: Person | None) -> forms.ChoiceField:
        """Ask who did it: a lent hand cannot sign in, and a manager writes for others."""
        planned = next((one.planned.job for one in self.sheet.planned if one.planned), None)
        who = planned.mechanic if planned else None
        speaks_for = who and (by is None or by.role != Role.MECHANIC or who.from_outside)
        first = who if who and speaks_for else by
        return forms.ChoiceField(
            label="Done by",
            required=False,
            choices=[(name, str(one)) for name, one in self.people.items()],
            initial=first.username if first else None,
        )

    def _limits(self) -> list[Limit]:
        return [limit for work in self.sheet.work for limit in work.limits]

    def _kept(self) -> list[Need]:
        return [need for need in self.sheet.needs if need.part]

    def _meter_field(self, meter: Meter) -> forms.CharField:
        label = f"{meter.get_kind_display()}, {unit_of(meter.kind, self.units)}"
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        return forms.CharField(
            label=label,
            required=False,
            help_text=self.sheet.say_last(meter),
            widget=forms.TextInput(attrs=attrs),
        )

    def _part_field(self, need: Need) -> forms.CharField:
        quantity = need.quantity / self._size(need)
        unit = ("qt" if self.units == "us" else "L") if need.fluid else "pieces"
        return forms.CharField(
            label=f"{need.name}, {unit}",
            required=False,
            initial=f"{quantity:.4g}",
            widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        )

    def _size(self, need: Need) -> float:
        """Return how many stored units one unit in the form is."""
        if not need.fluid:
            return 1.0
        return QUART if self.units == "us" else LITRE

    @property
    def done_keys(self) -> list[str]:
        """Work that is ticked as done; on a fresh sheet, none."""
        return self.data.getlist("done") if hasattr(self.data, "getlist") else []

    def clean(self) -> dict[str, Any]:
        """Read numbers in the yard's units, and ask for the meters of a finished job."""
        cleaned = super().clean() or {}
        cleaned["readings"] = [
            typed for meter in self.sheet.meters if (typed := self._typed(meter))
        ]
        self._ask_for_meters(cleaned)
        unknown = [key for key in self.done_keys if self.sheet.find(key) is None]
        if unknown:
            self.add_error(
                None,
                "Some of this work is no longer on the sheet, perhaps because it "
                "is in the book already. Look at what is left and send again.",
            )
        minutes = cleaned.get("repair_minutes") or RepairGuess.minutes
        if (cleaned.get("repair_second") or 0) > minutes:
            self.add_error("repair_second", "Help cannot take longer than the work itself.")
        if not (self.done_keys or cleaned["readings"] or cleaned.get("finding")):
            self.add_error(None, "Tick what was done, or type a reading or a finding.")
        return cleaned

    def _ask_for_meters(self, cleaned: dict[str, Any]) -> None:
        """Work in the book without its meter is worth little: the next due point hangs on it."""
        if not self.done_keys or cleaned.get("unread"):
            return
        for meter in self.sheet.meters:
            name = _reading_name(meter.kind)
            if not cleaned.get(name) and name not in self.errors:
                self.add_error(name, "Type what it shows, or tick that a meter cannot be read.")

    def _typed(self, meter: Meter) -> JobReading | None:
        name = _reading_name(meter.kind)
        text = self.cleaned_data.get(name, "")
        if not text:
            return None
        try:
            value = parse_use(text, meter.kind, self.units)
        except ValueError as error:
            self.add_error(name, str(error))
            return None
        return JobReading(meter.kind, value, self.data.get(f"answer_{meter.kind}", ""))

    def _number(self, name: str, *, signed: bool = False) -> float | None:
        """Read a number; signed: one that may lie below zero, as a freezing point does."""
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        below_zero = signed and text.startswith(MINUS)
        try:
            number = parse_number(text[1:] if below_zero else text)
        except ValueError:
            self.add_error(name, f"“{text}” is not a number; write it in digits, such as 2.5.")
            return None
        return -number if below_zero else number

    def finished(self) -> FinishedJob:
        """Return the job to be written; call it on a form that is valid so far."""
        work = [one for key in self.done_keys if (one := self.sheet.find(key))]
        measured = {limit.pk: self._measured(limit) for limit in self._limits()}
        parts = self._parts() if work else []
        done = [
            DoneWork(
                one.service,
                one.finding,
                one.minutes,
                [
                    (limit, value)
                    for limit in one.limits
                    if (value := measured[limit.pk]) is not None
                ],
                one.minutes_before,
                self._left_out(one),
            )
            for one in work
        ]
        return FinishedJob(
            machine=self.sheet.machine,
            form_key=self.cleaned_data["form_key"],
            done=done,
            readings=self.cleaned_data["readings"],
            minutes=self.cleaned_data.get("minutes"),
            note=f"{self.cleaned_data.get('note', '')} {self.doubts.note}".strip(),
            parts=parts,
            finding=self.cleaned_data.get("finding", ""),
            gravity=self.cleaned_data.get("gravity") or Finding.Gravity.NOTE,
            repair=RepairGuess(
                self.cleaned_data.get("repair_minutes") or RepairGuess.minutes,
                self.cleaned_data.get("repair_second") or 0,
                bool(self.cleaned_data.get("repair_days")),
            ),
            done_by=self.people.get(self.cleaned_data.get("done_by", "")),
        )

    def _measured(self, limit: Limit) -> float | None:
        """Read what was measured; what is odd for its limit is asked about."""
        name = _limit_name(limit)
        value = self._number(name, signed=True)
        if value is not None:
            bounds = {"low": limit.low, "high": limit.high}
            oddity = odd_measurement(value, name=limit.name, unit=limit.unit, **bounds)
            self.doubts.weigh(self, name, oddity)
        return value

    def _left_out(self, work: SheetWork) -> list[Service]:
        """Return what was shown as done with some work, and was unticked."""
        shown, ticked = self._sent("also_shown"), self._sent("also")
        names = {f"{work.work_key}|{service.pk}": service for service in work.also}
        return [service for name, service in names.items() if name in shown - ticked]

    def _sent(self, name: str) -> set[str]:
        return set(self.data.getlist(name)) if hasattr(self.data, "getlist") else set()

    def also_rows(self, work: SheetWork) -> list[tuple[str, Service, bool]]:
        """Return what some work counts as too: its name in the form, the service, ticked or not."""
        sent = self._sent("also_shown")
        names = [(f"{work.work_key}|{service.pk}", service) for service in work.also]
        ticked = self._sent("also")
        return [(name, service, name not in sent or name in ticked) for name, service in names]

    def _parts(self) -> list[tuple[Part, float]]:
        taken = [(need, self._taken(need)) for need in self._kept()]
        return [
            (need.part, number * self._size(need)) for need, number in taken if number and need.part
        ]

    def _taken(self, need: Need) -> float | None:
        """Read what was taken; of a fluid, more than the make-up takes is asked about."""
        name = _part_name(need.part)
        number = self._number(name)
        if number is not None and need.fluid:
            takes, unit = need.quantity / self._size(need), "qt" if self.units == "us" else "L"
            self.doubts.weigh(self, name, odd_volume(number, takes, name=need.name, unit=unit))
        return number

    def refuse_reading(self, refused: MeterRefused, now: datetime) -> None:
        """Show the verdict's sentence at the meter, with the answers that a person may give."""
        offered = answer_words.offered(refused.verdict, refused.new.place(now))
        self.choices[refused.kind] = [AGAIN, *offered]
        self.add_error(_reading_name(refused.kind), refused.sentence)

    def meter_rows(self) -> list[tuple[Any, str, list[tuple[str, str]]]]:
        """Return each meter's field, its kind, and the answers if validation asked about it."""
        return [
            (self[_reading_name(meter.kind)], meter.kind, self.choices.get(meter.kind, []))
            for meter in self.sheet.meters
        ]

    def part_rows(self) -> list[Any]:
        """Return the fields of parts and fluids."""
        return [self[_part_name(need.part)] for need in self._kept()]

    def planned_rows(self) -> list[tuple[SheetWork, list[Any], list[Any]]]:
        """Return the planned work, with the fields of what is measured, and what it counts as."""
        return [(w, self._limit_rows(w), self.also_rows(w)) for w in self.sheet.planned]

    def offered_rows(self) -> list[tuple[SheetWork, list[Any], list[Any]]]:
        """Return the work that is nearly due, with the same."""
        return [(w, self._limit_rows(w), self.also_rows(w)) for w in self.sheet.offered]

    def _limit_rows(self, work: SheetWork) -> list[Any]:
        return [self[_limit_name(limit)] for limit in work.limits]


def _limit_field(limit: Limit) -> forms.CharField:
    bounds = [
        f"at least {limit.low:g}" if limit.low is not None else "",
        f"at most {limit.high:g}" if limit.high is not None else "",
    ]
    return forms.CharField(
        label=limit.name,
        required=False,
        help_text=" and ".join(filter(None, bounds)) + f" {limit.unit}",
        widget=forms.TextInput(attrs={"inputmode": _keys(limit), "autocomplete": "off"}),
    )


def _keys(limit: Limit) -> str:
    """Return the keys to show on a phone: those for numbers have no minus."""
    return "text" if min(limit.low or 0, limit.high or 0) < 0 else "decimal"


def _reading_name(kind: str) -> str:
    return f"reading_{MeterKind(kind)}"


def _limit_name(limit: Limit) -> str:
    return f"limit_{limit.pk}"


def _part_name(part: Part | None) -> str:
    return f"part_{part.pk}" if part else ""
