"""Fields that put right what was answered at the steps of an entry of the service book."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.functional import cached_property

from fleet.actions.record_work import WorkDone
from fleet.models import ServiceRecord, StepAnswer
from fleet.procedures.given_answers import GivenAnswer, may_answer
from fleet.quantities import parse_volume, show_volume

NOT_ANSWERED = ("", "not answered")


class AnswerFields(forms.Form):
    """One field for each step of the text that the work was done by, filled with its answer.

    What is not sent stays as it was; what is left as it was keeps who answered it, and when.
    """

    record: ServiceRecord
    said: WorkDone

    def add_answer_fields(self, units: str) -> None:
        """Make the fields; units: those of the yard, for what was filled in."""
        self._units = units
        for number, step in self._steps:
            self.fields[f"at_step_{number}"] = _answer_field(step, self._given.get(step["key"]))
            if step.get("fills_ml"):
                self.fields[f"filled_{number}"] = self._filled_field(step)

    @cached_property
    def _steps(self) -> list[tuple[int, Mapping[str, Any]]]:
        """The steps at which something is answered, each with its number in the text."""
        text = self.record.done_text
        steps = enumerate(text.steps if text else (), start=1)
        return [(number, step) for number, step in steps if may_answer(step["kind"])]

    @cached_property
    def _given(self) -> dict[str, GivenAnswer]:
        return {one.step: one for one in self.said.answers}

    def _filled_field(self, step: Mapping[str, Any]) -> forms.CharField:
        was = self._given.get(step["key"])
        shown = "" if was is None or was.quantity_ml is None else self._shown(was.quantity_ml)
        return forms.CharField(
            label="How much was filled in", required=False, max_length=20, initial=shown,
            widget=forms.TextInput(attrs={"autocomplete": "off"}),
        )  # fmt: skip

    def _shown(self, millilitres: float) -> str:
        return show_volume(millilitres, self._units)

    def answer_rows(self) -> list[tuple[Any, Any]]:
        """Return the field of each step, with that of what was filled in or None."""
        return [
            (self[f"at_step_{number}"],
             self[f"filled_{number}"] if f"filled_{number}" in self.fields else None)
            for number, _ in self._steps
        ]  # fmt: skip

    @property
    def answers_changed(self) -> bool:
        """Whether any of them was sent otherwise, or refused: the page shows them unfolded then."""
        names = [name for name in self.fields if name.startswith(("at_step_", "filled_"))]
        return any(name in self.errors or name in self.changed_data for name in names)

    def answers(self) -> list[GivenAnswer]:
        """Return the answers as they should have been."""
        found = [self._answer(number, step) for number, step in self._steps]
        return [one for one in found if one is not None]

    def _answer(self, number: int, step: Mapping[str, Any]) -> GivenAnswer | None:
        was, name = self._given.get(step["key"]), f"at_step_{number}"
        if name not in self.data:
            return was
        answer = self.cleaned_data.get(name, "")
        if not answer:
            return None
        filled = self._filled(f"filled_{number}", was)
        if was and (was.answer, was.quantity_ml) == (answer, filled):
            return was
        return GivenAnswer(step["key"], answer, filled)

    def _filled(self, name: str, was: GivenAnswer | None) -> float | None:
        """Read how much was filled in, in mL; as it was where nobody typed over it."""
        before = was.quantity_ml if was else None
        if name not in self.fields or name not in self.data:
            return before
        text = self.cleaned_data.get(name, "").strip()
        if text == self.fields[name].initial:
            return before
        try:
            return parse_volume(text, self._units) if text else None
        except ValueError as no:
            self.add_error(name, str(no))
            return before


def _answer_field(step: Mapping[str, Any], was: GivenAnswer | None) -> forms.ChoiceField:
    words = dict(StepAnswer.Given.choices)
    choices = [NOT_ANSWERED, *((value, words[value]) for value in may_answer(step["kind"]))]
    return forms.ChoiceField(
        label=step["text"], choices=choices, required=False, initial=was.answer if was else ""
    )
