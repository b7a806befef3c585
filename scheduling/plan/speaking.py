"""What a plan says of itself: what each term pays for, what is scarce each week, why work waits."""

from dataclasses import replace

from django.conf import settings

from fleet.saying import say_money, short_date
from scheduling.core.planner import Bottleneck, Result, Supply
from scheduling.plan.horizon import ANY_SKILL
from scheduling.plan.plan_words import translator, why_not
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan

WAYS = 3
"""Ways out that are kept of what would have to give, the cheapest first."""


def cost_words(result: Result, facts: ShopFacts) -> dict[str, str]:
    """Return by term of the cost what was counted to come to that money."""
    say = translator(facts).say
    return {line.term: say(line.words) for line in result.terms}


def week_words(result: Result, facts: ShopFacts) -> list[str]:
    """Return a sentence for each week: what is scarce in it, and what a little more is worth."""
    return [_week(week, facts) for week in result.weeks]


def why_it_waits(work: WorkToPlan, result: Result, facts: ShopFacts) -> str:
    """Say why work stands on no day: a plain hindrance, else what the planner weighed.

    What would have to give stands beside it (ways_out), not in it.
    """
    reason = result.deferred_reasons.get(work.key)
    weighed = translator(facts).say(replace(reason, gives=()).sentence()) if reason else ""
    return why_not(work, facts, weighed)


def ways_out(work: WorkToPlan, result: Result, facts: ShopFacts) -> list[str]:
    """Return what would have to give for work that waits, each with its price; cheapest first."""
    reason = result.deferred_reasons.get(work.key)
    say = translator(facts).say
    said = (say(give.words()) for give in (reason.gives if reason else ())[:WAYS])
    return [f"{words[0].upper()}{words[1:]}." for words in said]


def _week(week: Bottleneck, facts: ShopFacts) -> str:
    first, today = facts.horizon.date(week.first_day), facts.horizon.first
    days = f"{short_date(first, today)} to {short_date(facts.horizon.date(week.last_day), today)}"
    if week.scarce is None:
        return f"{days}: nothing is short."
    return f"{days}: short is {_supply(week.scarce, facts)}."


def _supply(supply: Supply, facts: ShopFacts) -> str:
    """Say what is scarce, how full it is, and what a little more of it is worth."""
    unit = "bay-days" if supply.kind == "bay" else "h"
    text = f"{_name(supply, facts)} ({supply.used:.0f} of {supply.available:.0f} {unit} used)"
    if supply.worth is None or supply.day is None:
        return text
    more = "Half a day more of a bay" if supply.kind == "bay" else "One more hour"
    day = short_date(facts.horizon.date(supply.day), facts.horizon.first)
    money = say_money(supply.worth, settings.CURRENCY)
    return f"{text}. {more} on {day} would be worth about {money}"


def _name(supply: Supply, facts: ShopFacts) -> str:
    if supply.kind == "bay":
        return "room in the bays"
    if supply.kind == "mechanic":
        return next((w.name for w in facts.workers if w.username == supply.name), supply.name)
    return "everybody's time" if supply.name == ANY_SKILL else f"the skill {supply.name}"
