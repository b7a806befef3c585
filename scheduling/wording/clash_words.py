"""Which limit, pin or settled place cannot be kept, and what stands in the way day by day."""

from scheduling.core.planner import Clash, ClashLimit, LimitKind

from .conflict_words import conflict_words
from .names import Names

NO_DAY_LEFT = "no day is left before the limit"

KINDS = {LimitKind.LIMIT: "hard limit", LimitKind.PIN: "pin", LimitKind.FROZEN: "settled place"}


def limit_words(limit: ClashLimit, names: Names) -> str:
    """Return what should have been kept: "hard limit on Wed 4 Mar", "pin on ... with Ada"."""
    who = f" with {names.mechanic(limit.mechanic)}" if limit.mechanic else ""
    return f"{KINDS[limit.kind]} on {names.day(limit.day)}{who}"


def clash_reason(clash: Clash, names: Names) -> str:
    """Return what stands in the way on each day that the limit allows."""
    return "; ".join(_days(clash, names)) or NO_DAY_LEFT


def clash_clauses(clash: Clash, names: Names) -> list[str]:
    """Return the clauses that tell of a clash, but for its ways out."""
    limit = f"the {limit_words(clash.limit, names)} cannot be kept"
    return [limit, *(_days(clash, names) or [NO_DAY_LEFT])]


def _days(clash: Clash, names: Names) -> list[str]:
    said = []
    for each in clash.barred:
        days = ", ".join(names.days(first, last) for first, last in each.spans)
        said.append(f"{days}: {conflict_words(each.conflict, names)}")
    return said
