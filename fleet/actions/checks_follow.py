"""What a check was answered with is put right: the finding that it became follows."""

from datetime import datetime

from fleet.actions.correct_findings import strike_findings
from fleet.actions.note_findings import NewFinding, note_findings, say_check
from fleet.models import Person, ServiceRecord, StepAnswer
from fleet.procedures.given_answers import NOT_GOOD


def checks_follow(
    old: ServiceRecord, new: ServiceRecord, *, by: Person | None, now: datetime
) -> None:
    """Let findings follow the answers of an entry that takes the place of another.

    1. The finding of an answer that the new entry does not give any more is struck, unless it was
       seen to.
    2. A check that is not good any more becomes a finding, seen when the work was done.
    """
    answers = list(new.answers.select_related("finding"))
    stay = {one.finding_id for one in answers}
    dropped = [
        one.finding
        for one in old.answers.select_related("finding")
        if one.finding and one.finding_id not in stay and one.finding.settled_at is None
    ]
    strike_findings(dropped, why="the entry in the book was put right", by=by, now=now)
    fresh = [one for one in answers if one.answer in NOT_GOOD and one.finding_id is None]
    if not fresh:
        return
    texts = {step["key"]: step["text"] for step in new.done_text.steps} if new.done_text else {}
    found = note_findings([_finding(new, one, texts) for one in fresh], by=by, now=now)
    for answer, finding in zip(fresh, found, strict=True):
        answer.finding = finding
        answer.save(update_fields=["finding"])


def _finding(record: ServiceRecord, answer: StepAnswer, texts: dict[str, str]) -> NewFinding:
    gravity = NOT_GOOD[StepAnswer.Given(answer.answer)]
    text = say_check(texts.get(answer.step, answer.step), gravity)
    return NewFinding(record.machine, text, gravity, record, seen_at=record.done_at)
