"""Rules of lines as the core wants them; what cannot be meant is left out and named."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fleet.models import Anchor
from scheduling.core.intervals import (
    AnchorRule,
    CalendarRules,
    MeterRules,
    allowance,
    allowance_days,
    nominal_length,
)
from scheduling.due.lines import Lines, unsure_lines
from scheduling.due.meter_use import KindUse
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Days, Flags, Floats, Ints

ANCHORS = {
    Anchor.FROM_SERVICE: AnchorRule.FROM_SERVICE,
    Anchor.FROM_DUE_POINT: AnchorRule.FROM_DUE_POINT,
    Anchor.KEEP_UNLESS_EARLY: AnchorRule.KEEP_UNLESS_EARLY,
    Anchor.KEEP_WITHIN_WINDOW: AnchorRule.KEEP_WITHIN_WINDOW,
}
BLANK: dict[str, Any] = {"anchor": Anchor.FROM_SERVICE, "end_of_month": False, "hard": False}
"""The interval of a line that only a finding or a limit made."""

FITTING_SLACK = 31
"""Days after a machine's start within which its first meter counts as fitted at the start."""


@dataclass(frozen=True)
class LineRules:
    """Both sides of each line, what lies behind them, and which cannot be met; arrays (l,)."""

    meter: MeterRules
    calendar: CalendarRules
    idle_months: Ints
    season: Flags
    broken: Flags


@dataclass(frozen=True)
class _Columns:
    rows: list[dict[str, Any]]

    def floats(self, name: str) -> Floats:
        found = (row.get(name) for row in self.rows)
        return np.array([np.nan if v is None else v for v in found], dtype=np.float64)

    def positive(self, name: str) -> Floats:
        """Return what can be an interval; NaN for what cannot."""
        values = self.floats(name)
        return np.where(np.isfinite(values) & (values > 0), values, np.nan)

    def allowed(self, name: str) -> Floats:
        """Return what can be a window; NaN for what cannot."""
        values = self.floats(name)
        return np.where(np.isfinite(values) & (values >= 0), values, np.nan)

    def whole(self, name: str) -> Ints:
        return np.array([max(row.get(name) or 0, 0) for row in self.rows], dtype=np.int64)

    def flags(self, name: str) -> Flags:
        return np.array([bool(row.get(name)) for row in self.rows], dtype=np.bool_)


def line_rules(facts: Facts, lines: Lines, uses: dict[str, KindUse]) -> LineRules:
    """Return the rules of all lines.

    Where nobody knows when a service was last done, the start says nothing of it either.
    """
    intervals = facts.rules.intervals
    get = _Columns([intervals[key] if key else BLANK for key in lines.interval.tolist()])
    machines = facts.machines
    anchor = np.array([ANCHORS[row["anchor"]] for row in get.rows], dtype=np.int64)
    unsure = unsure_lines(facts, lines)
    started = np.where(unsure, np.datetime64("NaT", "D"), machines.started[lines.machine])
    calendar, mended = _calendar(get, anchor, started)
    # without a meter nothing but a known start says anything of life
    start = np.where(np.isnat(started), np.nan, 0.0)
    for kind, use in uses.items():
        at = np.flatnonzero((lines.kind == kind) & (use.local[lines.machine] >= 0))
        start[at] = start_lives(facts, use)[use.local[lines.machine[at]]]
    start[unsure] = np.nan
    every = get.positive("every")
    meter = MeterRules(
        every=every,
        first_at=np.where(np.isnan(every), np.nan, get.positive("first_at")),
        early=_on_meter(get, "early", every),
        late=_on_meter(get, "late", every),
        anchor=anchor,
        start=start,
        duty=machines.duty[lines.machine],
        hard=get.flags("hard"),
    )
    broken = mended | (~np.isnan(get.floats("every")) & np.isnan(every))
    return LineRules(meter, calendar, get.whole("idle_months"), get.flags("season_month"), broken)


def _on_meter(get: _Columns, name: str, every: Floats) -> Floats:
    percent, cap = get.allowed(f"{name}_percent"), get.allowed("meter_cap")
    return allowance(every, get.allowed(name), percent, cap)[: every.size]


def _calendar(get: _Columns, anchor: Ints, start: Days) -> tuple[CalendarRules, Flags]:
    """Return the calendar side; months win over days where both are given, and it is said."""
    months, days = get.whole("every_months"), get.whole("every_days")
    month, day = get.whole("season_month"), get.whole("season_day")
    longest = np.array([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    real = (month >= 1) & (month <= 12)
    real &= (day >= 1) & (day <= longest[np.where(real, month, 0)])
    both = (months > 0) & (days > 0)
    days = np.where(both, 0, days)
    rules = CalendarRules(
        months=months,
        days=days,
        season_month=np.where(real, month, 0),
        season_day=np.where(real, day, 0),
        first_months=get.whole("first_months"),
        first_days=get.whole("first_days"),
        early=_in_days(get, "early", nominal_length(months, days)),
        late=_in_days(get, "late", nominal_length(months, days)),
        anchor=anchor,
        start=start,
        end_of_month=get.flags("end_of_month"),
        hard=get.flags("hard"),
    )
    return rules, both | (((month > 0) | (day > 0)) & ~real)


def _in_days(get: _Columns, name: str, length: Ints) -> Ints:
    # a season alone has no length of which a percentage could be taken
    percent = np.where(length > 0, get.allowed(f"{name}_percent"), np.nan)
    share = np.where(length > 0, length, np.nan)
    given = allowance_days(share, get.allowed(f"{name}_days"), percent, get.allowed("days_cap"))
    return given[: length.size]


def start_lives(facts: Facts, use: KindUse) -> Floats:
    """Return the life at each machine's first day of work, (k,); NaN where it is not known.

    It is read off the life line where that reaches back so far.  Else it is the life at the first
    fitting, if the meter was fitted by about then or began at 0.
    """
    machines, rows = facts.machines, use.meters.machine
    started = machines.started[rows]
    known = ~np.isnat(started)
    day = np.where(known, started.astype(np.int64), 0) - machines.today[rows]
    base = use.meters.base
    covered = (use.cleaned.first_day <= day) & (use.cleaned.last_day >= day)
    fitted_by_then = (use.meters.fitted <= day + FITTING_SLACK) | (base == 0)
    read_off = use.life_on(np.arange(rows.size), day.astype(np.float64))
    found = np.where(covered, read_off, np.where(fitted_by_then, base, np.nan))
    return np.where(known, found, np.nan)
