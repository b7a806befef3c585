"""A plan, or a mend, in the format ``shop-plan-1`` with its sentences.

Fields with sentences: `why` of each assignment and week, `deferred_why`, `cost_words`, and of each
clash `limit`, `reason` and `ways_out`.  Ids stand for themselves in them.
"""

from dataclasses import asdict
from typing import Any

from scheduling.core.planner import Clash, MendedPlan, Result

from .clash_words import clash_reason, limit_words
from .cost_sentences import cost_sentences
from .move_words import move_sentences
from .names import IdNames, Names
from .reason_words import place_sentence, reason_sentence, relaxation_words
from .week_words import week_sentence


def plan_file(result: Result, names: Names | None = None) -> dict[str, Any]:
    """Return a plan as plain JSON values, sentences included."""
    names = names or IdNames()
    plan = result.to_dict()
    for row, placed in zip(plan["assignments"], result.assignments, strict=True):
        row["why"] = place_sentence(placed.reason, names)
    reasons = result.deferred_reasons.items()
    plan["deferred_why"] = {task: reason_sentence(reason, names) for task, reason in reasons}
    plan["cost_words"] = cost_sentences(result.counts) if result.counts else {}
    plan["weeks"] = [asdict(week) | {"why": week_sentence(week, names)} for week in result.weeks]
    if result.clashes:
        plan["clashes"] = [_clash(clash, names) for clash in result.clashes]
        plan["fewest_proven"] = result.fewest
    return plan


def mend_file(mended: MendedPlan, names: Names | None = None) -> dict[str, Any]:
    """Return a mend as plain JSON values, with why each task moves."""
    names = names or IdNames()
    values = mended.to_dict()
    for row, move in zip(values["moves"], mended.moves, strict=True):
        row["why"] = " ".join(move_sentences(move, names))
    return values | {"plan": plan_file(mended.result, names)}


def _clash(clash: Clash, names: Names) -> dict[str, Any]:
    return {
        "task": clash.task,
        "limit": limit_words(clash.limit, names),
        "reason": clash_reason(clash, names),
        "ways_out": [relaxation_words(each, names) for each in clash.gives],
    }
