"""What keeps work off a day, as a clause that follows "but" or a colon."""

from collections.abc import Callable

from scheduling.core.planner import BusyMechanic, Conflict, ConflictKind

from .clauses import listed
from .names import Names

Kind = ConflictKind
TAKEN = 0.005
"""Hours below which nothing counts as taken."""


def conflict_words(conflict: Conflict, names: Names) -> str:
    """Return a conflict as a clause."""
    return WORDS[conflict.kind](conflict, names)


def hours_words(hours: float) -> str:
    """Return hours to the hundredth, without zeros at the end: "8 h", "8.25 h"."""
    return f"{round(hours, 2):g} h"


def _day(conflict: Conflict, names: Names) -> str:
    return "another day" if conflict.day is None else names.day(conflict.day)


def _on_day(conflict: Conflict, names: Names) -> str:
    return "" if conflict.day is None else f" on {names.day(conflict.day)}"


def _last_day(conflict: Conflict, names: Names) -> str:
    return "an earlier day" if conflict.last_day is None else names.day(conflict.last_day)


def skilled(conflict: Conflict, names: Names) -> str:
    """Return the skill that is asked for, to follow "nobody"; empty for what anybody can do."""
    skill = names.skill(conflict.skill)
    return f" with the skill {skill}" if skill else ""


def _booked(conflict: Conflict, names: Names) -> str:
    days = ""
    if conflict.day is not None and conflict.last_day is not None:
        days = f" {names.days(conflict.day, conflict.last_day)}"
    return f"the machine is booked out{days}{_booking(conflict, names)}"


def _booking(conflict: Conflict, names: Names) -> str:
    booking = names.booking(conflict.what)
    return f" ({booking})" if booking else ""


def _second_missing(conflict: Conflict, names: Names) -> str:
    if not names.skill(conflict.skill):
        return "it takes two people, and there is nobody else to help"
    return f"it takes two people, and nobody else has the skill {names.skill(conflict.skill)}"


def _nobody_able(conflict: Conflict, names: Names) -> str:
    skill = names.skill(conflict.skill)
    needs = f", which takes the skill {skill}" if skill else ""
    return f"nobody at {names.yard(conflict.what)} can do it{needs}"


def _hours_taken(conflict: Conflict, names: Names) -> str:
    return ", ".join(_busy(one, names) for one in conflict.busy)


def _busy(one: BusyMechanic, names: Names) -> str:
    who, there = names.mechanic(one.mechanic), hours_words(one.available)
    if one.taken < TAKEN:
        return f"{who} works only {there}"
    by = f" by {listed([names.task_on(task) for task in one.tasks])}" if one.tasks else ""
    return f"{who} has {round(one.taken, 2):g} of {there} taken{by}"


Words = Callable[[Conflict, Names], str]

WORDS: dict[ConflictKind, Words] = {
    Kind.PINNED_ELSEWHERE: lambda c, n: f"it is pinned to {_day(c, n)}",
    Kind.FROZEN_ELSEWHERE: lambda c, n: f"it keeps its place on {_day(c, n)}, which is settled",
    Kind.DAYS_FROZEN: lambda c, n: f"no new work is taken on before {_day(c, n)}",
    Kind.PUT_OFF: lambda c, n: f"it was put off until {_day(c, n)}",
    Kind.PAST_LIMIT: lambda c, n: f"it has to be done by {_day(c, n)}",
    Kind.BOOKED: _booked,
    Kind.YARD_CLOSED: lambda c, n: f"{n.yard(c.what)} is closed",
    Kind.SITE_CLOSED: lambda c, n: f"{n.site(c.what)} takes no visits that day",
    Kind.OTHER_YARD: lambda c, n: f"{n.mechanic(c.mechanic)} works at {n.yard(c.what)}",
    Kind.SKILL_NOT_HELD: lambda c, n: (
        f"{n.mechanic(c.mechanic)} does not have the skill {n.skill(c.skill)}"
    ),
    Kind.KEPT_FOR_OTHER: lambda c, n: f"it is kept for {n.mechanic(c.mechanic)}",
    Kind.FORERUNNER_WAITS: lambda c, n: (
        f"{n.task(c.what)} has to come first, and has no place in this plan"
    ),
    Kind.FORERUNNER_LATER: lambda c, n: (
        f"{n.task(c.what)} has to come first, and is done on {_day(c, n)}"
    ),
    Kind.FOLLOWER_SOONER: lambda c, n: (
        f"it has to come before {n.task(c.what)}, which is done on {_day(c, n)}"
    ),
    Kind.NO_SECOND: _second_missing,
    Kind.SECOND_AWAY: lambda c, n: (
        f"it takes two people, and nobody else{skilled(c, n)} is working"
    ),
    Kind.NOBODY_BEGINS: lambda c, n: "nobody who can do it has the hours to start it",
    Kind.LASTS_PAST_PLAN: lambda c, n: (
        f"its {hours_words(c.hours)} would not be done by {_day(c, n)}, when the plan ends"
    ),
    Kind.LASTS_PAST_LIMIT: lambda c, n: (
        f"its {hours_words(c.hours)} would go on until {_day(c, n)}, "
        f"and it has to be done by {_last_day(c, n)}"
    ),
    Kind.LASTS_INTO_BOOKING: lambda c, n: (
        f"its {hours_words(c.hours)} would go on until {_day(c, n)}, "
        f"when the machine is booked out{_booking(c, n)}"
    ),
    Kind.PART_USED_UP: lambda c, n: (
        f"there is not enough {n.part(c.what)} left, and no more is on the way"
    ),
    Kind.PART_COMES: lambda c, n: f"{n.part(c.what)} does not arrive until {_day(c, n)}",
    Kind.PART_MAY_COME: lambda c, n: f"{n.part(c.what)} may not arrive until {_day(c, n)}",
    Kind.BAYS_FULL: lambda c, n: f"the bays are full{_on_day(c, n)}",
    Kind.NO_BAY: lambda c, n: f"there is no bay{_on_day(c, n)}",
    Kind.HOURS_TAKEN: _hours_taken,
    Kind.NOBODY_WORKS: lambda c, n: f"nobody{skilled(c, n)} is working",
    Kind.NOBODY_ABLE: _nobody_able,
    Kind.PLAN_ENDED: lambda c, n: f"the plan ends on {_day(c, n)}",
    Kind.MECHANIC_GONE: lambda c, n: f"{n.mechanic(c.mechanic)} is not there any more",
    Kind.MECHANIC_AWAY: lambda c, n: f"{n.mechanic(c.mechanic)} is not working that day",
}
"""How each kind of conflict is said."""
