"""One line that says what changed and how much work has to be placed again."""

from collections.abc import Sequence
from datetime import date

from fleet.saying import Clause, counted, joined, say_minutes, say_span
from scheduling.plan.broken_work import Breach, BrokenWork
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan

TOLD = 3
"""Causes that one line names."""

WORDS = {
    Breach.AWAY: "{about} away {days}",
    Breach.CLOSED: "the shop closed {days}",
    Breach.YARD_SHUT: "{about} closed {days}",
    Breach.HOURS: "not enough hours of {about} {days}",
    Breach.SKILL: "{about} without the skill {days}",
    Breach.OUT: "{about} out {days}",
    Breach.PART: "{about} not there in time",
}
"""Cause -> how it is said; days: those of the work that cannot stay."""


def say_broken(broken: Sequence[BrokenWork], new: Sequence[WorkToPlan], facts: ShopFacts) -> str:
    """Return "Ingrid away Mon 2 Mar to Fri 6 Mar: 35 h to place again."."""
    today = facts.horizon.first
    groups: dict[tuple[Breach, str], list[date]] = {}
    for each in broken:
        days = groups.setdefault((each.breach, each.about), [])
        days.append(facts.horizon.date(each.placed.day))
    said = [
        WORDS[breach].format(about=about, days=_span(min(days), max(days), today))
        for (breach, about), days in groups.items()
    ]
    name_first = bool(groups) and WORDS[next(iter(groups))[0]].startswith("{about}")
    if new:
        said.append(f"{counted(len(new), 'piece')} of new work")
    more = len(said) - TOLD
    told = [*said[:TOLD], f"{counted(more, 'more cause')}"] if more > 0 else said
    minutes = sum(each.placed.minutes for each in broken) + sum(each.minutes for each in new)
    again = "again" if broken else "in the plan"
    line = Clause(f"{joined(told)}: {say_minutes(minutes)} to place {again}.", name_first)
    return line.head[:300]


def _span(first: date, last: date, today: date) -> str:
    return f"{'on ' if first == last else ''}{say_span(first, last, today)}"
