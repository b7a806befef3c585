"""The answers at the steps of an entry of the service book, beside the text it was done by."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count

from fleet.models import Measurement, ServiceRecord, StepAnswer
from fleet.procedures.filled_step import show_fill
from fleet.procedures.given_answers import GivenAnswer, may_answer
from fleet.procedures.kept_text import picture_of
from fleet.procedures.shown_picture import ShownPicture
from fleet.tongues.phrase_book import spoken


@dataclass(frozen=True)
class AnsweredStep:
    """One step of the text that work was done by.

    values: as `fleet.procedures.kept_text` writes them.  measured: what was measured at it.
    filled: what was filled in at it, in the units of the yard.
    """

    values: Mapping[str, Any]
    picture: ShownPicture | None
    answer: StepAnswer | None
    measured: Sequence[Measurement]
    filled: str = ""

    @property
    def asks(self) -> bool:
        """Whether something was to be ticked, answered or measured at it."""
        return bool(may_answer(self.values["kind"]) or self.values.get("measures"))

    @property
    def answered(self) -> bool:
        """Whether something was."""
        return self.answer is not None or bool(self.measured)


def answers_of(record: ServiceRecord) -> list[GivenAnswer]:
    """Return the answers of an entry, as they could be given again; one query."""
    return [
        GivenAnswer(row.step, row.answer, row.quantity_ml, row.by, row.at, row.finding)
        for row in record.answers.select_related("by", "finding")
    ]


def answered_steps(record: ServiceRecord) -> list[AnsweredStep]:
    """Return the steps of an entry with what was answered and measured at each; two queries."""
    if record.done_text is None:
        return []
    given = {row.step: row for row in record.answers.select_related("by")}
    measured = list(record.measurements.select_related("limit"))
    return [
        AnsweredStep(
            step,
            picture_of(step),
            given.get(step["key"]),
            [one for one in measured if _measured_at(step, one)],
            _filled(given.get(step["key"]), record.machine.yard.units),
        )
        for step in record.done_text.steps
    ]


def _filled(answer: StepAnswer | None, units: str) -> str:
    if answer is None or answer.quantity_ml is None:
        return ""
    return show_fill(answer.quantity_ml, units)


def _measured_at(step: Mapping[str, Any], one: Measurement) -> bool:
    """Whether a value was measured at a step.

    Older texts do not name the limit: they name what is measured, in the language of the page.
    """
    if "limit" in step:
        return bool(step["limit"] == one.limit_id)
    return step.get("measures") in (one.limit.name, spoken(one.limit.name))


def answers_in_words(record: ServiceRecord) -> dict[str, str]:
    """Return the answers by the words of their steps, for the change log; two queries at most."""
    texts = {one["key"]: one["text"] for one in record.done_text.steps} if record.done_text else {}
    return {texts.get(row.step, row.step): _in_words(row) for row in record.answers.all()}


def _in_words(row: StepAnswer) -> str:
    filled = "" if row.quantity_ml is None else f", {row.quantity_ml:.0f} mL"
    return f"{row.get_answer_display()}{filled}"


def count_answers(records: Iterable[ServiceRecord]) -> dict[int, dict[str, int]]:
    """Return entry -> how many steps had which answer, of those that have any; one query."""
    rows = StepAnswer.objects.filter(record__in=[record.pk for record in records])
    found: dict[int, dict[str, int]] = {}
    counted = rows.order_by().values_list("record", "answer").annotate(n=Count("pk"))
    for record, answer, number in counted:
        found.setdefault(record, {})[answer] = number
    return found
