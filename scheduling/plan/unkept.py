"""What cannot be kept: hard limits, pins and frozen places, each with what stands in the way."""

from fleet.saying import short_date
from scheduling.core.planner import Result
from scheduling.plan.plan_words import LONGEST, why_not
from scheduling.plan.shop_names import ShopNames
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan
from scheduling.wording import as_clauses, clash_clauses, fitted, relaxation_words

WAYS_OUT = 2
"""Ways out named for what cannot be kept, the cheapest first."""


def cannot_keep(result: Result, facts: ShopFacts) -> list[str]:
    """Say of each machine which limits, pins and frozen places cannot be kept, and why."""
    by_key = {work.key: work for work in facts.work}
    return [
        f"{facts.machines[by_key[key].machine].tag}, {by_key[key].title}: {sentence}"
        for key, sentence in unkept(result, facts).items()
    ]


def unkept(result: Result, facts: ShopFacts) -> dict[str, str]:
    """Return by key of the work why its limit, pin or frozen place cannot be kept.

    The work stands where the plan could put it all the same; its page says this instead of
    "pinned".
    """
    by_key = {work.key: work for work in facts.work}
    names = ShopNames(facts)
    found: dict[str, list[str]] = {}
    for clash in result.clashes:
        ways = [relaxation_words(each, names) for each in clash.gives[:WAYS_OUT]]
        said = as_clauses([*clash_clauses(clash, names), *ways], LONGEST)
        found.setdefault(clash.task, []).append(said)
    for key in result.deferred:
        if by_key[key].past_limit:
            said = f"past its hard limit. {why_not(by_key[key], facts)}"
            found.setdefault(key, []).append(said)
    for work in facts.work:
        found.setdefault(work.key, []).extend(
            [*_pinned_too_late(work, facts), *_no_skill(work, facts)]
        )
    return {key: fitted(said, LONGEST) for key, said in found.items() if said}


def _pinned_too_late(work: WorkToPlan, facts: ShopFacts) -> list[str]:
    """Say that a person pinned work to a day after its hard limit."""
    pin, later = facts.decided.pins.get(work.key), facts.decided.later.get(work.key)
    day = facts.horizon.date(pin.day) if pin else later
    if day is None or work.limit_day is None:
        return []
    limit, first = facts.horizon.date(work.limit_day), facts.horizon.first
    if day <= limit:
        return []
    return [
        f"pinned to {short_date(day, first)}, after its hard limit {short_date(limit, first)}; "
        "lift the pin or move it."
    ]


def _no_skill(work: WorkToPlan, facts: ShopFacts) -> list[str]:
    """Say that work is pinned to somebody who may not do it: the day is kept, not the person."""
    pin = facts.decided.pins.get(work.key)
    who = next((w for w in facts.workers if pin and w.username == pin.mechanic), None)
    if who is None or work.skill in who.skills:
        return []
    return [
        f"pinned to {who.name}, who does not hold the skill {work.skill}: "
        "the day is kept, and somebody who holds it does the work."
    ]
