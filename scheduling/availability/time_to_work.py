"""Whether the shop still has the time to plan work before a machine goes out.

The plan is made anew each night, and looks so many days ahead.  What lies beyond it is planned in
time, like all work to come.  Within it, work is planned before a promise if there are open days
between: a working week of them for what a person at the counter may also decide against, and any
day that still takes new work for a hard limit, which nobody decides against and which is asked
again as the machine goes out (common practice).
"""

from datetime import date

from scheduling.availability.counter_facts import CounterFacts

A_WEEK = 7
"""Days within which any shop has open ones (our judgement)."""


def can_be_planned(standing: CounterFacts, first_day: date, today: date, *, hard: bool) -> bool:
    """Tell whether work can still be planned before a first day out.

    hard: it ends a hard limit.
    """
    return (first_day - today).days > days_to_plan(standing, hard=hard)


def days_to_plan(standing: CounterFacts, *, hard: bool) -> int:
    """Return how many days from today on are too near for work to be planned before them."""
    takes_work = max(standing.frozen_days, 1)
    return takes_work if hard else min(takes_work + A_WEEK, standing.horizon_days - 1)
