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
WITHOUT_TENTHS = 99.95
"""Days or hours from which on their tenths tell nobody anything."""


def term_name(term: str) -> str:
    """Return a term of the cost as a sentence names it."""
    return TERM_WORDS[term]


def cost_sentences(counts: CostCounts) -> dict[str, str]:
    """Return by term what was counted to come to its money."""
    c = counts
    return {
        "overdue": f"{pieces(c.late_tasks)} after the due date, {amount(c.late_days)} days late "
        "expected in all",
        "waste": f"{pieces(c.early_tasks)} before the due date, {amount(c.early_days)} days early "
        "expected in all",
        "visit": f"{many(c.visits, 'visit')}, {c.shared_visits} of them for several pieces of work",
        "setup": f"{many(c.setups, 'set-up')}, each counted once a visit",
        "downtime": f"{amount(c.days_down)} days of machines off hire",
        "trip": f"{many(c.trips, 'trip')} to {many(c.sites, 'remote yard')}",
        "overtime": f"{amount(c.overtime_hours)} h of overtime over "
        f"{many(c.overtime_days, 'mechanic day')}",
        "blocked_booking": f"{many(c.lost_bookings, 'booking')} lost",
        "change": f"{pieces(c.other_day)} moved off the day planned before, "
        f"{c.other_mechanic} given to another mechanic only",
        "deferral": f"{pieces(c.deferred)} put off beyond the plan",
    }


def many(count: int, one: str) -> str:
    """Return a count with its noun."""
    return f"{count} {one if count == 1 else one + 's'}"


def amount(value: float) -> str:
    """Return days or hours as one says them: from a hundred on without tenths."""
    return f"{value:,.0f}" if value >= WITHOUT_TENTHS else f"{value:.1f}"


def pieces(count: int) -> str:
    """Return a count of tasks in words."""
    return f"{count} {'piece' if count == 1 else 'pieces'} of work"
