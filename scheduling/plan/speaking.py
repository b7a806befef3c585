"""What a plan says of itself: what each term pays for, what is scarce each week, why work waits."""

from dataclasses import replace

from scheduling.core.planner import Result
from scheduling.plan.plan_words import LONGEST, why_not
from scheduling.plan.shop_names import ShopNames
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan
from scheduling.wording import (
    cost_sentences,
    place_sentence,
    reason_sentence,
    relaxation_sentence,
    week_sentence,
)

WAYS = 3
"""Ways out that are kept of what would have to give, the cheapest first."""


def cost_words(result: Result) -> dict[str, str]:
    """Return by term of the cost what was counted to come to that money."""
    return cost_sentences(result.counts) if result.counts else {}


def week_words(result: Result, facts: ShopFacts) -> list[str]:
    """Return a sentence for each week: what is scarce in it, and what a little more is worth."""
    names = ShopNames(facts)
    return [week_sentence(week, names) for week in result.weeks]


def whys_there(result: Result, facts: ShopFacts) -> dict[str, str]:
    """Return by key of planned work what the planner says of its place."""
    names = ShopNames(facts)
    return {a.task: place_sentence(a.reason, names, LONGEST) for a in result.assignments}


def why_it_waits(work: WorkToPlan, result: Result, facts: ShopFacts) -> str:
    """Say why work stands on no day: a plain hindrance, else what the planner weighed.

    What would have to give stands beside it (ways_out), not in it.
    """
    reason = result.deferred_reasons.get(work.key)
    weighed = ""
    if reason is not None:
        weighed = reason_sentence(replace(reason, gives=()), ShopNames(facts), LONGEST)
    return why_not(work, facts, weighed)


def ways_out(work: WorkToPlan, result: Result, facts: ShopFacts) -> list[str]:
    """Return what would have to give for work that waits, each with its price; cheapest first."""
    reason = result.deferred_reasons.get(work.key)
    if reason is None or not reason.gives:
        return []
    names = ShopNames(facts)
    return [relaxation_sentence(each, names) for each in reason.gives[:WAYS]]
