"""Fields of a job sheet for what is measured: read, asked about, and held against their limits."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.functional import lazy

from fleet.actions.record_work import MeasuredValue
from fleet.forms.doubts import Doubts
from scheduling.forms.measures import HOLD, SOON, Measure, measures_of
from scheduling.queries.job_sheet import JobSheet, SheetWork


@dataclass(frozen=True)
class MeasureRow:
    """One measure as it is shown.  soon: how soon it must be seen to, if that is asked."""

    limit_id: int
    field: Any
    soon: list[tuple[str, str, str, bool]]


class MeasureFields(forms.Form):
    """One field for each measure of the work on a sheet.

    measures: key of the work -> what is measured at it.  values: name of the field -> what was
    typed, in the limit's unit.  asked_soon: fields at which it is asked how soon.
    """

    sheet: JobSheet
    doubts: Doubts

    def add_measure_fields(self) -> None:
        """Make the fields."""
        self.measures = {work.work_key: self._measures(work) for work in self.sheet.work}
        self.values: dict[str, float] = {}
        self.asked_soon: set[str] = set()
        for measure in self._all_measures():
            last = lazy(self.sheet.say_measured, str)(measure.limit, measure.place)
            self.fields[measure.name] = measure.field(last)

    @staticmethod
    def _measures(work: SheetWork) -> list[Measure]:
        return measures_of(work.limits, work.work_key, required=work.inspection)

    def _all_measures(self) -> list[Measure]:
        return [one for found in self.measures.values() for one in found]

    def read_measures(self, cleaned: dict[str, Any], done: set[str]) -> None:
        """Read what was measured; ask about what is missing, odd, outside, or without a tick."""
        for measure in self._all_measures():
            text = cleaned.get(measure.name, "").strip()
            ticked = measure.work_key in done
            if not text:
                if ticked and measure.required:
                    self.add_error(
                        measure.name,
                        "An inspection is finished with all its measures; write this one, or leave"
                        " the work under way.",
                    )
                continue
            self._read_measure(measure, text)
            if not ticked and measure.name not in self.errors:
                work = self.sheet.find(measure.work_key)
                self.add_error(
                    measure.name,
                    f"This is measured, but “{work.title if work else ''}” is not ticked: tick it,"
                    " or empty the measure.",
                )

    def _read_measure(self, measure: Measure, text: str) -> None:
        try:
            value = measure.read(text)
        except ValueError as error:
            self.add_error(measure.name, str(error))
            return
        self.values[measure.name] = value
        self.doubts.weigh(self, measure.name, measure.oddity(value))
        sentence = measure.beyond(value)
        if not sentence or measure.name in self.errors or measure.limit.safety:
            return
        self.asked_soon.add(measure.name)
        if self.data.get(measure.soon) not in dict(SOON):
            self.add_error(measure.name, f"{sentence}. Say below how soon it must be seen to.")

    def measured_at(self, work: SheetWork) -> list[MeasuredValue]:
        """Return what was measured at one piece of work."""
        return [
            MeasuredValue(
                one.limit, self.values[one.name], one.place, self.data.get(one.soon) == HOLD
            )
            for one in self.measures[work.work_key]
            if one.name in self.values
        ]

    def measure_rows(self, work: SheetWork) -> list[MeasureRow]:
        """Return the fields of one piece of work as they are shown."""
        return [
            MeasureRow(one.limit.pk, self[one.name], self._soon_of(one))
            for one in self.measures[work.work_key]
        ]

    def _soon_of(self, measure: Measure) -> list[tuple[str, str, str, bool]]:
        """Return what may be answered to a value outside its limit, once it was asked."""
        if measure.name not in self.asked_soon:
            return []
        given = self.data.get(measure.soon)
        return [(measure.soon, answer, words, answer == given) for answer, words in SOON]
