"""Fields of a job sheet for what is measured: read, asked about, and held against their limits."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.functional import lazy

from fleet.actions.record_work import MeasuredValue
from fleet.forms.doubts import Doubts
from scheduling.forms.measures import HOLD, SOON, Measure, measures_of
from scheduling.forms.sheet_ends import SheetEnd
from scheduling.queries.job_sheet import JobSheet, SheetWork
from scheduling.queries.open_entries import OpenEntries


@dataclass(frozen=True)
class MeasureRow:
    """One measure as it is shown.  soon: how soon it must be seen to, if that is asked.

    source: where its limits come from.
    """

    limit_id: int
    field: Any
    soon: list[tuple[str, str, str, bool]]
    source: str = ""


class MeasureFields(forms.Form):
    """One field for each measure of the work on a sheet.

    measures: key of the work -> what is measured at it.  values: name of the field -> what was
    typed, in the limit's unit.  asked_soon: fields at which it is asked how soon.  refused: fields
    of values that cannot be, or are odd and not confirmed.
    """

    sheet: JobSheet
    doubts: Doubts
    end: SheetEnd
    entries: OpenEntries

    def given(self) -> Mapping[str, Any]:
        """Return what was sent; of a fresh sheet, what was typed before and is kept."""
        return self.data if self.is_bound else self.entries.own

    def add_measure_fields(self) -> None:
        """Make the fields."""
        self.measures = {work.work_key: self._measures(work) for work in self.sheet.work}
        self.values: dict[str, float] = {}
        self.asked_soon: set[str] = set()
        self.refused: set[str] = set()
        for measure in self._all_measures():
            last = lazy(self.sheet.say_measured, str)(measure.limit, measure.place)
            self.fields[measure.name] = measure.field(last)

    @staticmethod
    def _measures(work: SheetWork) -> list[Measure]:
        return measures_of(work.limits, work.work_key, required=work.inspection)

    def _all_measures(self) -> list[Measure]:
        return [one for found in self.measures.values() for one in found]

    def read_measures(self, cleaned: dict[str, Any], done: set[str], stays: set[str]) -> None:
        """Read what was measured; ask about what is odd or outside its limit.

        Of a visit that is finished, also about what is missing, or measured at work that is neither
        done nor said to stay on the sheet.  done, stays: keys of work.
        """
        finish = self.end is SheetEnd.FINISH
        for measure in self._all_measures():
            text = cleaned.get(measure.name, "").strip()
            ticked = measure.work_key in done
            if not text:
                if finish and ticked and measure.required:
                    self.add_error(
                        measure.name,
                        "An inspection is finished with all its measures; write this one, or leave"
                        " the work under way.",
                    )
                continue
            self._read_measure(measure, text)
            settled = ticked or not finish or measure.work_key in stays
            if not settled and measure.name not in self.errors:
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
        if measure.name in self.errors:
            self.refused.add(measure.name)
        sentence = measure.beyond(value)
        if not sentence or measure.name in self.errors or measure.limit.safety:
            return
        self.asked_soon.add(measure.name)
        if self.data.get(measure.soon) not in dict(SOON):
            self.add_error(measure.name, f"{sentence}. Say below how soon it must be seen to.")

    def seen_beyond(self, entered: set[str]) -> list[MeasuredValue]:
        """Return what lies beyond its limit at work that does not go into the book now.

        entered: keys of the work that does.  What was refused, or is still asked about, is left
        out; a limit for safety is never asked about.
        """
        return [
            self._value(one)
            for one in self._all_measures()
            if one.name in self.values
            and one.work_key not in entered
            and one.beyond(self.values[one.name])
            and not self._undecided(one)
        ]

    def _undecided(self, one: Measure) -> bool:
        if one.limit.safety:  # held at once, even while it is asked about for want of a tick
            return one.name in self.refused
        return one.name in self.errors and self.data.get(one.soon) != HOLD

    def _value(self, one: Measure) -> MeasuredValue:
        urgent = self.data.get(one.soon) == HOLD
        return MeasuredValue(one.limit, self.values[one.name], one.place, urgent)

    def measured_at(self, work: SheetWork) -> list[MeasuredValue]:
        """Return what was measured at one piece of work."""
        return [self._value(one) for one in self.measures[work.work_key] if one.name in self.values]

    def measure_rows(self, work: SheetWork) -> list[MeasureRow]:
        """Return the fields of one piece of work as they are shown."""
        return [
            MeasureRow(one.limit.pk, self[one.name], self._soon_of(one), one.source)
            for one in self.measures[work.work_key]
        ]

    def _soon_of(self, measure: Measure) -> list[tuple[str, str, str, bool]]:
        """Return what may be answered to a value outside its limit, once it was asked."""
        given = self.given().get(measure.soon)
        if measure.name not in self.asked_soon and not given:
            return []
        return [(measure.soon, answer, words, answer == given) for answer, words in SOON]
