"""What a plan's money pays for, by term, in words."""

from scheduling.core.planner import CostCounts

TERM_WORDS = {
    "overdue": "late work",
    "waste": "work done early",
    "visit": "visits",
    "setup": "set-ups",
    "downtime": "machines off hire",
    "trip": "trips",
    "overtime": "overtime",
    "blocked_booking": "lost bookings",
    "change": "changes to the plan",
    "deferral": "work put off",
}
"""Terms of the cost as a sentence names them."""


def term_name(term: str) -> str:
    """Return a term of the cost as a sentence names it."""
    return TERM_WORDS[term]


def cost_sentences(counts: CostCounts) -> dict[str, str]:
    """Return by term what was counted to come to its money."""
    c = counts
    return {
        "overdue": f"{pieces(c.late_tasks)} after the due date, {c.late_days:.1f} days late "
        "expected in all",
        "waste": f"{pieces(c.early_tasks)} before the due date, {c.early_days:.1f} days early "
        "expected in all",
        "visit": f"{many(c.visits, 'visit')}, {c.shared_visits} of them for several pieces of work",
        "setup": f"{many(c.setups, 'set-up')}, each counted once a visit",
        "downtime": f"{c.days_down:.1f} days of machines off hire",
        "trip": f"{many(c.trips, 'trip')} to {many(c.sites, 'remote yard')}",
        "overtime": f"{c.overtime_hours:.1f} h of overtime over "
        f"{many(c.overtime_days, 'mechanic day')}",
        "blocked_booking": f"{many(c.lost_bookings, 'booking')} lost",
        "change": f"{pieces(c.other_day)} moved off the day planned before, "
        f"{c.other_mechanic} given to another mechanic only",
        "deferral": f"{pieces(c.deferred)} put off beyond the plan",
    }


def many(count: int, one: str) -> str:
    """Return a count with its noun."""
    return f"{count} {one if count == 1 else one + 's'}"


def pieces(count: int) -> str:
    """Return a count of tasks in words."""
    return f"{count} {'piece' if count == 1 else 'pieces'} of work"
