"""When the demo's shop takes a service to be due next: a scalar re-telling of the interval rules.

The site's own due points are worked out elsewhere, from the book alone; the shop of the demo goes
by the same published rules, so that its book is that of a shop that mostly keeps its dates.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import floor, inf
from typing import Any

from dateutil.relativedelta import relativedelta

NEVER = 4_000_000
"""A day number beyond any other: this side never falls due."""
MONTH = 30
"""Days of a month when a percentage of it is taken (PS Magazine 580, 2001, pp. 52-55)."""

Rule = Mapping[str, Any]


@dataclass(frozen=True)
class Point:
    """Where a service stands: next due life and day, and the points that were met before."""

    life: float = inf
    life_before: float = -inf
    day: int = NEVER
    day_before: int = 0


def meter_step(rule: Rule, factor: float) -> float:
    """The interval on the meter, shortened or stretched by dust; a hard one never stretched."""
    return float(rule["every"]) * (min(factor, 1.0) if rule.get("hard") else factor)


def _add(rule: Rule, day: int, *, first: bool = False) -> int:
    """The day one calendar interval later; the first may be another."""
    months = (rule.get("first_months") if first else None) or rule.get("every_months")
    if months:
        return (date.fromordinal(day) + relativedelta(months=months)).toordinal()
    return day + int((rule.get("first_days") if first else None) or rule["every_days"])


def _season(rule: Rule, day: int) -> int:
    """The first date of the season that a service on this day does not count for."""
    done = date.fromordinal(day)
    point = date(done.year, rule["season_month"], rule["season_day"])
    met = day >= point.toordinal() - rule.get("early_days", 0)
    return date(done.year + met, point.month, point.day).toordinal()


def begin(rule: Rule, day: int, life: float, factor: float) -> Point:
    """The first due point of a machine that starts on a day with a life."""
    lead = inf
    if rule.get("every"):
        lead = meter_step(rule, factor) * rule.get("first_at", rule["every"]) / rule["every"]
    due = NEVER
    if rule.get("season_month"):
        due = _season(rule, day)
    elif rule.get("every_months") or rule.get("every_days"):
        due = _add(rule, day, first=True)
    return Point(life + lead, life, due, day)


def _share(percent: float | None, cap: float | None, of: float) -> float:
    return 0.0 if percent is None else min(of * percent / 100, inf if cap is None else cap)


def _window(rule: Rule, side: str) -> tuple[float, float]:
    """Early and late allowance of the meter ("" ) or calendar ("_days") side."""
    length = rule.get("every", 0.0)
    cap = rule.get("meter_cap")
    if side:
        length = rule.get("every_months", 0) * MONTH + rule.get("every_days", 0)
        cap = rule.get("days_cap")
    early = rule.get(f"early{side}")
    late = rule.get(f"late{side}")
    return (
        _share(rule.get("early_percent"), cap, length) if early is None else early,
        _share(rule.get("late_percent"), cap, length) if late is None else late,
    )


def _keeps(rule: Rule, side: str, due: float, at: float) -> bool:
    """Whether the service keeps the grid of due points, by the interval's anchor."""
    early, late = _window(rule, side)
    match rule.get("anchor", "service"):
        case "due":
            return True
        case "keep":
            return at >= due - early
        case "window":
            return due - early <= at <= due + late
    return False


def _belongs_before(due: float, before: float, at: float) -> bool:
    """Whether a service on the grid is nearer to the point before: then it moves nothing."""
    return at < due and at - before < due - at


def _meet_meter(rule: Rule, point: Point, life: float, factor: float) -> tuple[float, float]:
    step = meter_step(rule, factor)
    if not _keeps(rule, "", point.life, life):
        return life + step, life
    if _belongs_before(point.life, point.life_before, life):
        return point.life, point.life_before
    new = point.life + step * (max(floor((life - point.life) / step), 0) + 1)
    return new, new - step


def _meet_calendar(rule: Rule, point: Point, day: int) -> tuple[int, int]:
    if rule.get("season_month"):
        return _season(rule, day), day
    if not _keeps(rule, "_days", point.day, day):
        return _add(rule, day), day
    if _belongs_before(point.day, point.day_before, day):
        return point.day, point.day_before
    before, new = point.day, _add(rule, point.day)
    while new <= day:
        before, new = new, _add(rule, new)
    return new, before


def meet(rule: Rule, point: Point, day: int, life: float | None, factor: float) -> Point:
    """Where a service stands after it was done on a day, at a life; each side by itself."""
    due_life, life_before = point.life, point.life_before
    if rule.get("every") and life is not None:
        due_life, life_before = _meet_meter(rule, point, life, factor)
    due_day, day_before = point.day, point.day_before
    if point.day < NEVER:
        due_day, day_before = _meet_calendar(rule, point, day)
    return Point(due_life, life_before, due_day, day_before)
