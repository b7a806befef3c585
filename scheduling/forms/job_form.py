"""The form of a job sheet: what was done, meters, measurements, parts, findings.

One form however the visit ends, so that leaving work or putting it off loses nothing that stands
on the page.
"""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django import forms
from django.utils.functional import cached_property, lazy

from fleet.actions.lay_down_work import LaidDown
from fleet.forms.doubts import Doubts
from fleet.learnt_minutes import LearntMinutes
from fleet.models import Finding, Meter, MeterKind, Person, Role, Service
from fleet.procedures import FilledStep
from fleet.procedures.kept_text import seal, unseal
from fleet.quantities import parse_use, unit_of
from fleet.validation import ReadingAnswer, answer_words
from scheduling.actions.finish_job import DoneWork, FinishedJob, JobReading, MeterRefused
from scheduling.forms.carried_fields import CarriedFields
from scheduling.forms.found_fields import FoundFields
from scheduling.forms.measure_fields import MeasureFields, MeasureRow
from scheduling.forms.required_fields import RequiredFields
from scheduling.forms.sheet_ends import MOST_WORDS, LeaveFields, SheetEnd
from scheduling.forms.step_fields import StepGroup, StepRow, step_groups
from scheduling.forms.taken_fields import TakenFields
from scheduling.forms.unticked_fields import UntickedFields
from scheduling.queries.job_sheet import JobSheet, SheetWork
from scheduling.queries.open_entries import NO_ENTRIES, OpenEntries

AGAIN = (ReadingAnswer.MISTYPED.value, "Mistyped: I have typed it again above")
"""The answer of a form that holds the whole job: it is sent again as a whole."""


@dataclass(frozen=True)
class WorkRow:
    """One piece of work as it is shown.

    steps: in order, each with the measures that belong to it; measures: those that no step names.
    also: name in the form, the service that it counts as too, ticked or not.  said: who else has
    ticked it.  learnt: how long it takes here, where that differs from what was set up.
    asks_tick: whether it is asked if it is done; stays: it was said that it is not.
    unanswered: required steps without an answer; why: what was said of them.  taken: fields of
    what it takes from the shelf, of work that is not planned.
    """

    work: SheetWork
    measures: list[MeasureRow]
    also: list[tuple[str, Service, bool]]
    steps: Sequence[StepRow] = ()
    said: Sequence[str] = ()
    learnt: LearntMinutes | None = None
    asks_tick: bool = False
    stays: bool = False
    unanswered: Sequence[FilledStep] = ()
    why: str = ""
    taken: Sequence[Any] = ()

    @property
    def groups(self) -> list[StepGroup]:
        """Its steps by their headings, where there are many."""
        return step_groups(self.steps)

    @property
    def sealed(self) -> str:
        """The steps as they stand here, to come back with what is finished; "" of none."""
        return seal(row.step for row in self.steps)


class JobForm(
    CarriedFields,
    LeaveFields,
    FoundFields,
    MeasureFields,
    TakenFields,
    RequiredFields,
    UntickedFields,
):
    """Made of a job sheet: one field a meter, a measure and a part, besides the fixed ones."""

    form_key = forms.CharField(widget=forms.HiddenInput, max_length=32, required=False)
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
    clock = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)
    note = forms.CharField(
        label="Note for the book", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    reason = forms.CharField(
        label="Why ticked work is put off",
        required=False,
        max_length=MOST_WORDS,
        help_text="A part missing, the machine away, no time.",
    )

    def __init__(
        self,
        sheet: JobSheet,
        data: Mapping[str, Any] | None = None,
        by: Person | None = None,
        end: SheetEnd = SheetEnd.FINISH,
        entries: OpenEntries = NO_ENTRIES,
    ) -> None:
        """Make the fields that this machine's sheet needs.

        by: who writes it.  end: how the visit ends.  entries: what was typed before and is kept.
        """
        self.sheet, self.end, self.entries = sheet, end, entries
        self.units = sheet.machine.yard.units
        self.choices: dict[str, list[tuple[str, str]]] = {}
        self.doubts = Doubts(data or {})
        key = entries.sheet or uuid.uuid4().hex
        super().__init__(data, initial={"form_key": key, **entries.initial})
        self.by = by
        self.people = {by.username: by} if by else {}
        if by is None or self.data.get("done_by", "") not in ("", by.username):
            self.add_people_field()
        for meter in sheet.meters:
            self.fields[_reading_name(meter.kind)] = self._meter_field(meter)
        self.add_measure_fields()
        self.choose_parts()
        if not self.is_bound or any(name.startswith("part_") for name in self.data):
            self.add_part_fields()  # else nothing is taken, and nothing asked of the make-up
        self.tell_of_others(entries)

    def tell_of_others(self, entries: OpenEntries) -> None:
        """Say at each field what others have typed there: both stand."""
        self.entries = entries
        for name, said in entries.of_others.items():
            if name in self.fields:
                hint = self.fields[name].help_text
                self.fields[name].help_text = " ".join(filter(None, (str(hint), *said)))

    def add_people_field(self) -> None:
        """Ask who did it, where it can be more than one; who wrote it needs not be asked for."""
        self.people = {one.username: one for one in self.sheet.workers} | self.people
        if len(self.people) > 1:
            self.fields["done_by"] = self._people_field(self.by)

    def show_all(self) -> None:
        """Add the fields that a page shows and a form that is sent can do without."""
        if "done_by" not in self.fields:
            self.add_people_field()
        if not self.has_part_fields:
            self.add_part_fields()

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

    def _meter_field(self, meter: Meter) -> forms.CharField:
        label = f"{meter.get_kind_display()}, {unit_of(meter.kind, self.units)}"
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        return forms.CharField(
            label=label,
            required=False,
            # said once it is shown: a form that is sent asks nothing of the past
            help_text=lazy(self.sheet.say_last, str)(meter),
            widget=forms.TextInput(attrs=attrs),
        )

    @property
    def done_keys(self) -> list[str]:
        """Work that is ticked; on a fresh sheet, what was ticked before and is kept."""
        if hasattr(self.data, "getlist") and self.is_bound:
            return self.data.getlist("done")
        return self.entries.ticked("done")

    @property
    def ticked(self) -> list[SheetWork]:
        """The work that is ticked and stands on the sheet."""
        return [one for key in self.done_keys if (one := self.sheet.find(key))]

    @property
    def _entered(self) -> set[str]:
        """Keys of the work that goes into the book at this end of the visit."""
        return set(self.done_keys) if self.end is SheetEnd.FINISH else set()

    def clean(self) -> dict[str, Any]:
        """Read numbers in the yard's units, and ask for what this end of the visit needs."""
        cleaned = super().clean() or {}
        cleaned["form_key"] = cleaned.get("form_key") or uuid.uuid4().hex
        cleaned["readings"] = [
            typed for meter in self.sheet.meters if (typed := self._typed(meter))
        ]
        self.read_found(cleaned)
        self.read_measures(cleaned, set(self.done_keys), self.stays_keys)
        cleaned["checks"] = self.checked_steps(self.ticked)
        cleaned["beyond"] = self.seen_beyond(self._entered)
        if self.end is SheetEnd.FINISH:
            self._ask_to_finish(cleaned)
        elif self.end is SheetEnd.LEAVE:
            self.ask_to_leave(self.ticked)
            cleaned["words"] = self.words_with(cleaned.get("lies_open", ""))
        else:
            self._ask_to_put_off(cleaned)
        return cleaned

    def _ask_to_finish(self, cleaned: dict[str, Any]) -> None:
        self._ask_for_meters(cleaned)
        if any(self.sheet.find(key) is None for key in self.done_keys):
            self.add_error(
                None,
                "Some of this work is no longer on the sheet, perhaps because it "
                "is in the book already. Look at what is left and send again.",
            )
        self.ask_for_ticks(set(self.done_keys))
        self.ask_for_required(self.ticked)
        self.ask_for_other_ends(cleaned)
        self.ask_what_took_others(set(self.done_keys))
        cleaned["parts"] = self.taken_with(self.ticked) if self.ticked else []
        if not self.ticked:
            self.ask_what_was_done(cleaned)
            self.ask_what_took_parts()
        seen = [cleaned["readings"], cleaned.get("finding"), cleaned["checks"], cleaned["beyond"]]
        if not (self.done_keys or any(seen) or self.errors):
            self.add_error(None, "Tick what was done, or type a reading or a finding.")

    def _ask_to_put_off(self, cleaned: dict[str, Any]) -> None:
        if not self.put_off_keys:
            self.add_error(None, "Tick the planned work that is put off.")
        if not cleaned.get("reason", "").strip() and "reason" not in self.errors:
            self.add_error(
                "reason", "Say why it is put off: a part missing, the machine away, no time."
            )
        cleaned["words"] = self.words_with(cleaned.get("reason", ""))

    @property
    def put_off_keys(self) -> list[str]:
        """The planned work that is ticked."""
        return [one.work_key for one in self.sheet.planned if one.work_key in self.done_keys]

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

    def seen_at_once(self) -> FinishedJob:
        """Return what stops the machine, or needs work, of a sheet that was refused otherwise."""
        cleaned = self.cleaned_data
        return FinishedJob(
            machine=self.sheet.machine,
            form_key=cleaned["form_key"],
            checks=cleaned["checks"],
            beyond=[one for one in self.seen_beyond(set()) if one.urgent or one.limit.safety],
        )

    def finished(self) -> FinishedJob:
        """Return what is to be written; of a visit that is not finished, what was seen and read."""
        cleaned = self.cleaned_data
        work = self.ticked if self.end is SheetEnd.FINISH else []
        note = f"{cleaned.get('note', '')} {self.doubts.note}".strip()
        return FinishedJob(
            machine=self.sheet.machine,
            form_key=cleaned["form_key"],
            done=[self._done(one) for one in work],
            readings=cleaned["readings"],
            minutes=cleaned.get("minutes"),
            note=note if self.end is SheetEnd.FINISH else "",
            parts=cleaned.get("parts", []),
            finding=cleaned.get("finding", ""),
            checks=cleaned["checks"],
            beyond=cleaned["beyond"],
            stays=self.staying(self._entered) if self.end is SheetEnd.FINISH else {},
            typed=self.all_typed() if self.end is SheetEnd.FINISH else {},
            gravity=cleaned.get("gravity") or Finding.Gravity.NOTE,
            repair=self.repair_guess(),
            done_by=self.people.get(cleaned.get("done_by", "")),
        )

    def _done(self, work: SheetWork) -> DoneWork:
        text = unseal(str(self.data.get(f"text_{work.work_key}", "")))
        return DoneWork(
            work.service, work.finding, work.minutes, self.measured_at(work), work.minutes_before,
            self._left_out(work), text, self.answers_at(work), self.remark_of(work),
        )  # fmt: skip

    def pieces_left(self) -> list[LaidDown]:
        """Return how far the ticked work came, of a sheet that is left under way."""
        who = self.people.get(self.cleaned_data.get("done_by", ""), self.by)
        if who is None:
            raise ValueError("somebody has to have worked on it")
        return self.laid_down(self.sheet.machine, self.ticked, who)

    def _left_out(self, work: SheetWork) -> list[Service]:
        """Return what was shown as done with some work, and was unticked."""
        shown, ticked = self._sent("also_shown"), self._sent("also")
        names = {f"{work.work_key}|{service.pk}": service for service in work.also}
        return [service for name, service in names.items() if name in shown - ticked]

    def _sent(self, name: str) -> set[str]:
        return set(self.data.getlist(name)) if hasattr(self.data, "getlist") else set()

    def also_rows(self, work: SheetWork) -> list[tuple[str, Service, bool]]:
        """Return what some work counts as too: its name in the form, the service, ticked or not."""
        sent, ticked = self._sent("also_shown"), self._sent("also")
        if not self.is_bound:
            sent = self.entries.unticked("also")
        names = [(f"{work.work_key}|{service.pk}", service) for service in work.also]
        return [(name, service, name not in sent or name in ticked) for name, service in names]

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

    @cached_property
    def next_row(self) -> StepRow | None:
        """The first step of the first work that is left to do, if any is asked for."""
        work = self.sheet.first
        rows = self.step_rows(work, self.measure_rows(work)) if work else []
        return next((row for row in rows if row.asks and not row.answered), None)

    def next_step(self) -> FilledStep | None:
        """Return the first step of the first work that is left to do, else its first step."""
        return self.next_row.step if self.next_row else self.sheet.first_step

    def planned_rows(self) -> list[WorkRow]:
        """Return the planned work with the fields that stand with it."""
        return [self._row(work) for work in self.sheet.planned]

    def offered_rows(self) -> list[WorkRow]:
        """Return the work that is nearly due, with the same."""
        return [self._row(work) for work in self.sheet.offered]

    def added_rows(self) -> list[WorkRow]:
        """Return the work that was put on the sheet besides, with the same."""
        return [self._row(work) for work in self.sheet.added]

    def _row(self, work: SheetWork) -> WorkRow:
        said = self.entries.of_others.get(f"done={work.work_key}", ())
        measures = self.measure_rows(work)
        steps = self.step_rows(work, measures)
        named = {one.field.name for row in steps for one in row.measures}
        rest = [one for one in measures if one.field.name not in named]
        learnt, asks, stays = self.sheet.learnt(work), self.asks_tick(work), self.stays_keys
        row = WorkRow(work, rest, self.also_rows(work), steps, said, learnt)
        return replace(
            row,
            asks_tick=asks,
            stays=work.work_key in stays,
            unanswered=self.unanswered.get(work.work_key, ()),
            why=self.why_of(work),
            taken=self.taken_rows(work),
        )


def _reading_name(kind: str) -> str:
    return f"reading_{MeterKind(kind)}"
