"""The steps of a job sheet: ticked or answered one by one, and what an answer leads to.

A check is good, needs attention, or stops the machine: the last two become findings, and what stops
the machine holds it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django import forms

from fleet.models import Finding, Service, ServiceStep
from fleet.procedures import FilledStep
from scheduling.actions.finish_job import CheckedStep
from scheduling.forms.measure_fields import MeasureRow
from scheduling.queries.job_sheet import JobSheet, SheetWork
from scheduling.queries.open_entries import OpenEntries

GOOD, ATTENTION, STOP = "good", "attention", "stop"
ANSWERS = ((GOOD, "good"), (ATTENTION, "needs attention"), (STOP, "stop the machine"))
"""Answers to a check, the mildest first."""
GRAVITY = {ATTENTION: Finding.Gravity.DEFECT, STOP: Finding.Gravity.UNSAFE}


@dataclass(frozen=True)
class StepRow:
    """One step as it is shown.  answer: what was ticked or chosen; measures: fields at it."""

    name: str
    step: FilledStep
    answer: str = ""
    measures: list[MeasureRow] = field(default_factory=list)

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


def step_name(service: Service, step: FilledStep) -> str:
    """Return the name of a step's field, the same however often the step is said anew."""
    return f"step_{service.pk}_{step.key}"


class StepFields(forms.Form):
    """Steps are no fields of Django's: they come with the sheet, and some of them only."""

    sheet: JobSheet
    entries: OpenEntries

    def _answers(self) -> Mapping[str, Any]:
        return self.data if self.is_bound else self.entries.own

    def step_rows(self, work: SheetWork, measures: list[MeasureRow]) -> list[StepRow]:
        """Return the steps of some work, each with the measures that belong to it."""
        if work.service is None:
            return []
        given = self._answers()
        of_limit: dict[int, list[MeasureRow]] = {}
        for one in measures:
            of_limit.setdefault(one.limit_id, []).append(one)
        return [
            StepRow(
                name := step_name(work.service, step),
                step,
                str(given.get(name, "")),
                of_limit.pop(step.limit_id, []) if step.limit_id else [],
            )
            for step in self.sheet.steps.get(work.service.pk, [])
        ]

    def checked_steps(self, work: list[SheetWork]) -> list[CheckedStep]:
        """Return what checks have found; of required ones without an answer, refuse it."""
        given = {name: value for name, value in self.data.items() if name.startswith("step_")}
        found = any(value in GRAVITY for value in given.values())
        inspected = any(one.inspection for one in work)
        if not found and not inspected:
            return []  # asked of the steps only where an answer hangs on them
        checks = [
            (one, step, given.get(step_name(one.service, step), ""))
            for one in work
            if one.service
            for step in self.sheet.steps.get(one.service.pk, [])
            if step.kind == ServiceStep.Kind.CHECK
        ]
        for one, step, answer in checks:
            if step.required and not answer and one.inspection:
                self.add_error(None, f"{one.title}: answer “{step.text}” before you finish.")
        return [
            CheckedStep(step.text, GRAVITY[answer]) for _, step, answer in checks
            if answer in GRAVITY
        ]  # fmt: skip
