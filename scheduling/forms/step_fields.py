"""The steps of a job sheet: ticked or answered one by one, and what an answer leads to.

A check is good, needs attention, or stops the machine: the last two become findings, and what stops
the machine holds it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django import forms

from fleet.models import Service, ServiceStep, WorkPhoto
from fleet.procedures import FilledStep, in_groups
from fleet.procedures.given_answers import NOT_GOOD, OF_A_CHECK, GivenAnswer, answers_given
from fleet.procedures.kept_text import unseal
from fleet.queries.photos_of_work import open_photos
from scheduling.actions.finish_job import CheckedStep
from scheduling.forms.measure_fields import MeasureRow
from scheduling.forms.sheet_ends import SheetEnd
from scheduling.queries.job_sheet import JobSheet, SheetWork

ANSWERS = tuple((one.value, str(one.label)) for one in OF_A_CHECK)
"""Answers to a check, the mildest first."""
FOLD_FROM = 15
"""From so many steps on they are folded, a heading at a time: a phone shows three or four."""
GRAVITY: dict[str, str] = {str(answer): gravity for answer, gravity in NOT_GOOD.items()}


@dataclass(frozen=True)
class StepRow:
    """One step as it is shown.  answer: what was ticked or chosen; measures: fields at it.

    refused: whether it is required and was left out of what was sent.  service: key of the service
    whose step it is.  photos: those taken at it.
    """

    name: str
    step: FilledStep
    service: int
    answer: str = ""
    measures: list[MeasureRow] = field(default_factory=list)
    refused: bool = False
    photos: Sequence[WorkPhoto] = ()

    @property
    def photographed(self) -> bool:
        """Whether photos are taken at it."""
        return self.step.kind == ServiceStep.Kind.PHOTO

    @property
    def answers(self) -> list[tuple[str, str, bool]]:
        """What may be answered to a check: value, words, chosen or not."""
        if self.step.kind != ServiceStep.Kind.CHECK:
            return []
        return [(value, words, value == self.answer) for value, words in ANSWERS]

    @property
    def ticked(self) -> bool:
        """Whether there is a box to tick: a measure and a caution have none."""
        return self.step.kind not in (ServiceStep.Kind.MEASURE, ServiceStep.Kind.CAUTION)

    @property
    def asks(self) -> bool:
        """Whether anything is ticked, answered or typed at it."""
        return self.ticked or bool(self.measures)

    @property
    def answered(self) -> bool:
        """Whether all that it asks stands there."""
        typed = all(one.field.value() for one in self.measures)
        return typed and (bool(self.answer) or not self.ticked)

    @property
    def faulty(self) -> bool:
        """Whether something at it was refused."""
        return self.refused or any(one.field.errors for one in self.measures)


@dataclass(frozen=True)
class StepGroup:
    """Steps under one heading.  first: number of the first of them.  open: whether unfolded."""

    titles: Sequence[str]
    rows: Sequence[StepRow]
    first: int
    open: bool

    @property
    def asked(self) -> int:
        """How many of its steps ask something."""
        return sum(row.asks for row in self.rows)

    @property
    def answered(self) -> int:
        """How many of these are done."""
        return sum(row.answered for row in self.rows if row.asks)


def step_groups(rows: Sequence[StepRow]) -> list[StepGroup]:
    """Return long procedures by their headings; none of a short one, which is shown as it is.

    Open are the first in which something is left to do, and those in which something was refused.
    """
    if len(rows) < FOLD_FROM:
        return []
    spans = in_groups(row.step.key for row in rows)
    parts = [rows[span.start : span.end] for span in spans]
    left = (at for at, part in enumerate(parts) if any(r.asks and not r.answered for r in part))
    first = next(left, None)
    return [
        StepGroup(span.titles, part, span.start + 1, at == first or any(r.faulty for r in part))
        for at, (span, part) in enumerate(zip(spans, parts, strict=True))
    ]


@dataclass(frozen=True)
class PhotoPlace:
    """Where photos are taken: the name of a step's field, its service and its key."""

    name: str
    service: int
    step: str


def step_name(service: int, step: str) -> str:
    """Return the name of a step's field by their keys: the same however often it is said anew."""
    return f"step_{service}_{step}"


class StepFields(forms.Form):
    """Steps are no fields of Django's: they come with the sheet, and some of them only."""

    sheet: JobSheet
    end: SheetEnd
    given: Callable[[], Mapping[str, Any]]

    @cached_property
    def left_out(self) -> set[str]:
        """Names of required checks that were sent without an answer."""
        return set()

    def step_rows(self, work: SheetWork, measures: list[MeasureRow]) -> list[StepRow]:
        """Return the steps of some work, each with the measures that belong to it."""
        if work.service is None:
            return []
        given = self.given()
        of_limit: dict[int, list[MeasureRow]] = {}
        for one in measures:
            of_limit.setdefault(one.limit_id, []).append(one)
        return [
            StepRow(
                name := step_name(work.service.pk, step.key),
                step,
                work.service.pk,
                str(given.get(name, "")),
                of_limit.pop(step.limit_id, []) if step.limit_id else [],
                name in self.left_out,
                self._photos_at(work.service, step),
            )
            for step in self.sheet.steps.get(work.service.pk, [])
        ]

    @property
    def photo_steps(self) -> list[PhotoPlace]:
        """The steps of the sheet that ask for photos: each is sent by a form of its own."""
        return [
            PhotoPlace(step_name(service, step.key), service, step.key)
            for service, steps in self.sheet.steps.items()
            for step in steps
            if step.kind == ServiceStep.Kind.PHOTO
        ]

    @property
    def kept_photos(self) -> list[WorkPhoto]:
        """The photos shown at the steps: each is struck by a form of its own."""
        return [
            one
            for place in self.photo_steps
            for one in self._photos.get((place.service, place.step), ())
        ]

    @cached_property
    def _photos(self) -> dict[tuple[int, str], list[WorkPhoto]]:
        """Service and step -> photos taken at it that are not in the book yet; one query."""
        found: dict[tuple[int, str], list[WorkPhoto]] = {}
        for one in open_photos(self.sheet.machine):
            found.setdefault((one.service_id, one.step), []).append(one)
        return found

    def _photos_at(self, service: Service, step: FilledStep) -> Sequence[WorkPhoto]:
        if step.kind != ServiceStep.Kind.PHOTO:
            return ()  # the photos are asked for only where a step wants some
        return self._photos.get((service.pk, step.key), ())

    def answers_at(self, work: SheetWork) -> dict[str, GivenAnswer]:
        """Return name of a step's field -> its answer, by the text that the sheet showed."""
        if work.service is None:
            return {}
        start = step_name(work.service.pk, "")
        given = {
            name.removeprefix(start): str(value)
            for name, value in self.data.items()
            if name.startswith(start)
        }
        text = unseal(str(self.data.get(f"text_{work.work_key}", "")))
        return {f"{start}{one.step}": one for one in answers_given(text, given)}

    def checked_steps(self, ticked: list[SheetWork]) -> list[CheckedStep]:
        """Return what checks have found, whatever is ticked: what stops the machine stops it.

        Of an inspection that is finished, refuse required checks that have no answer.
        """
        given = {name: value for name, value in self.data.items() if name.startswith("step_")}
        finish = self.end is SheetEnd.FINISH
        inspected = [one for one in ticked if one.inspection] if finish else []
        if not (inspected or any(value in GRAVITY for value in given.values())):
            return []  # asked of the steps only where an answer hangs on them
        for work in inspected:
            for step, name in self._checks(work):
                if step.required and not given.get(name):
                    self.left_out.add(name)
                    self.add_error(None, f"{work.title}: answer “{step.text}” before you finish.")
        return [
            CheckedStep(step.text, GRAVITY[given[name]], work.service_id, step.key)
            for work in self.sheet.work
            for step, name in self._checks(work)
            if given.get(name) in GRAVITY
        ]

    def _checks(self, work: SheetWork) -> list[tuple[FilledStep, str]]:
        """Return the checks of some work, each with the name of its field."""
        if work.service is None:
            return []
        return [
            (step, step_name(work.service.pk, step.key))
            for step in self.sheet.steps.get(work.service.pk, [])
            if step.kind == ServiceStep.Kind.CHECK
        ]
