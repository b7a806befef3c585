"""Steps that work is not finished without: each is answered, or one line says why not."""

from collections.abc import Sequence
from functools import cached_property

from fleet.models import ServiceStep
from fleet.procedures import FilledStep
from fleet.saying import first_sentence
from scheduling.forms.measures import Measure
from scheduling.forms.step_fields import StepFields, step_name
from scheduling.queries.job_sheet import SheetWork

MOST_WHY = 200
"""Characters of the line that says why something was not answered."""
NAME = 60
"""Characters up to which the words before a colon are what a step is called."""


class RequiredFields(StepFields):
    """Asks once, for all steps of some work together, and keeps the line with the work.

    An inspection is finished with all its steps: of it, no such line is taken.
    """

    measures: dict[str, list[Measure]]

    @cached_property
    def unanswered(self) -> dict[str, list[FilledStep]]:
        """Key of the ticked work -> required steps of it that were sent without an answer."""
        return {}

    def ask_for_required(self, ticked: Sequence[SheetWork]) -> None:
        """Refuse ticked work with required steps that are neither answered nor accounted for."""
        for work in ticked:
            left = [] if work.inspection else self._left(work)
            if not left:
                continue
            self.unanswered[work.work_key] = left
            why = self.why_of(work)
            if not why:
                self._ask_why(work, left)
            elif len(why) > MOST_WHY:
                self.add_error(None, f"Say why in at most {MOST_WHY} characters.")

    def _ask_why(self, work: SheetWork, left: Sequence[FilledStep]) -> None:
        if work.service:
            self.left_out.update(step_name(work.service.pk, step.key) for step in left)
        if len(left) == 1:
            said = f"“{work.title}”: a step that it must not be finished without is not answered."
        else:
            said = (
                f"“{work.title}”: {len(left)} steps that it must not be finished without are not"
                " answered."
            )
        self.add_error(None, f"{said} Answer, or say under it in one line why not.")

    def _left(self, work: SheetWork) -> list[FilledStep]:
        if not work.asks_required or work.service is None:
            return []
        steps = self.sheet.steps.get(work.service.pk, [])
        return [step for step in steps if step.required and not self._answered(work, step)]

    def _answered(self, work: SheetWork, step: FilledStep) -> bool:
        if step.kind == ServiceStep.Kind.CAUTION or work.service is None:
            return True
        if step.kind == ServiceStep.Kind.MEASURE:
            fields = [
                one.name for one in self.measures[work.work_key] if one.limit.pk == step.limit_id
            ]
            return all(str(self.data.get(name, "")).strip() for name in fields)
        return bool(self.data.get(step_name(work.service.pk, step.key)))

    def why_of(self, work: SheetWork) -> str:
        """Return the line that says why required steps of some work are not answered."""
        return " ".join(str(self.given().get(f"why_{work.work_key}", "")).split())

    def remark_of(self, work: SheetWork) -> str:
        """Return what goes into the book of steps that were not answered, and why; "" of none."""
        left = self.unanswered.get(work.work_key)
        if not left:
            return ""
        why = self.why_of(work).rstrip(".")
        return f"Not answered: {'; '.join(called(step.text) for step in left)}. Why: {why}."


def called(text: str) -> str:
    """Return what a step is called: "Kill switch", of "Kill switch: stops it at once and..."."""
    head, colon, _ = text.partition(":")
    return head if colon and len(head) <= NAME else first_sentence(text).rstrip(".")
