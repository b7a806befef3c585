"""A plan: what it takes of a yard, what it costs, and how one machine is put into it.

`Draft` is a plan under way: visits go in and out, and it knows what one more would cost or break.
`replan` plans one machine as well as it can be while all others stay, and `greedy_plan` and its kin
go over all machines once.  `price` prices finished places anew in floating point, from the problem
alone, whatever a search believed.
"""

from .cost import (
    TERMS,
    Places,
    blocked_bookings,
    days_early,
    days_late,
    days_taken,
    hours_worked,
    last_days_in,
    price,
    price_but_timing,
    stays_in,
    visit_hours,
)
from .draft import Draft, own_cost
from .greedy import (
    by_length,
    by_stake,
    by_urgency,
    completed,
    greedy_plan,
    placed_plan,
    settled,
    standing_plan,
    urgency,
)
from .replan_machine import replan

__all__ = [
    "TERMS",
    "Draft",
    "Places",
    "blocked_bookings",
    "by_length",
    "by_stake",
    "by_urgency",
    "completed",
    "days_early",
    "days_late",
    "days_taken",
    "greedy_plan",
    "hours_worked",
    "last_days_in",
    "own_cost",
    "placed_plan",
    "price",
    "price_but_timing",
    "replan",
    "settled",
    "standing_plan",
    "stays_in",
    "urgency",
    "visit_hours",
]
