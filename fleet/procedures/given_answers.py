"""What is answered at the steps that a sheet showed, read by the text that was kept of them.  Pure.

A step that has to be done is ticked, a check has one of three answers; what is measured is no
answer, and a caution asks for none.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.models import DoneText, Finding, Person, ServiceStep, StepAnswer

Given = StepAnswer.Given
OF_A_CHECK = (Given.GOOD, Given.ATTENTION, Given.STOP)
"""Answers to a check, the mildest first."""
NO_TICK = (ServiceStep.Kind.MEASURE, ServiceStep.Kind.CAUTION)
"""Kinds of step at which nothing is ticked."""
NOT_GOOD = {Given.ATTENTION: Finding.Gravity.DEFECT, Given.STOP: Finding.Gravity.UNSAFE}
"""How bad the finding is that an answer becomes."""


@dataclass(frozen=True)
class GivenAnswer:
    """One answer at a step.  by, at: who gave it and when; None: who writes the entry, and now.

    quantity_ml: what was filled in at it.  finding: what the answer became.
    """

    step: str
    answer: str
    quantity_ml: float | None = None
    by: Person | None = None
    at: datetime | None = None
    finding: Finding | None = None


def may_answer(kind: str) -> tuple[str, ...]:
    """Return what may be answered at a kind of step."""
    if kind in NO_TICK:
        return ()
    return OF_A_CHECK if kind == ServiceStep.Kind.CHECK else (Given.DONE,)


def answers_given(text: DoneText | None, given: Mapping[str, str]) -> list[GivenAnswer]:
    """Return the answers that a form brought back, in the order of the steps.

    given: key of a step -> what stood in its field.  A step that the text does not have was not
    read there; without a text nothing is known of what was asked.
    """
    return [
        GivenAnswer(str(step["key"]), answer, step.get("fills_ml"))
        for step in (text.steps if text else ())
        if (answer := _answer(step, given.get(step["key"], "")))
    ]


def _answer(step: Mapping[str, Any], given: str) -> str:
    may = may_answer(step["kind"])
    if not given or not may:
        return ""
    if step["kind"] == ServiceStep.Kind.CHECK:
        return given if given in may else ""
    return Given.DONE
