"""What makes a service due beside its interval: findings, wear, idleness, and not knowing."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.intervals import (
    DuePoints,
    Measurements,
    WearLimit,
    idle_too_long,
    limit_life,
    limit_reached,
)
from scheduling.due.lines import Lines, days_of, unsure_lines
from scheduling.due.meter_use import KindUse
from scheduling.facts.booked_days import Call
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Days, Flags, Floats, Ints, day_number

NOT_KNOWN = "nobody knows when it was last done, so look at it first"


@dataclass(frozen=True)
class Triggers:
    """What calls for each line's service; arrays (l,).

    called: by a finding; worn: a value at or past its limit; wear_life: life at which the trend
    meets the limit, NaN for none; idle: sat too long;
    words: line -> what was found or measured.
    """

    called: Flags
    worn: Flags
    wear_life: Floats
    idle: Flags
    unsure: Flags
    words: dict[int, str]

    @property
    def at_once(self) -> Flags:
        """Return the lines that are due whatever meter and calendar say."""
        return self.called | self.worn | self.idle | self.unsure

    def applied(self, points: DuePoints) -> DuePoints:
        """Return the due points with these triggers."""
        return points.by_life(self.wear_life).at_once(self.at_once)


def find_triggers(
    facts: Facts, lines: Lines, latest: Floats, idle_months: Ints, uses: dict[str, KindUse]
) -> Triggers:  # fmt: skip
    """Find what calls for services beside their intervals.

    latest: moment at which each line's service was last done, local days, -inf for never.
    """
    called, words = _called(facts, lines, latest)
    worn, wear_life, measured = _worn(facts, lines, days_of(latest), uses)
    idle = np.zeros(len(lines), dtype=np.bool_)
    if idle_months.any():
        today = facts.machines.today[lines.machine].astype("datetime64[D]")
        used = last_used(facts, uses)[lines.machine]
        idle = idle_too_long(used, days_of(latest), today, idle_months)
    unsure = unsure_lines(facts, lines) & np.isneginf(latest)
    said = dict.fromkeys(np.flatnonzero(unsure).tolist(), NOT_KNOWN)
    return Triggers(called, worn, wear_life, idle, unsure, {**said, **measured, **words})


def _called(facts: Facts, lines: Lines, latest: Floats) -> tuple[Flags, dict[int, str]]:
    """Return the lines that a finding calls for, unless the service was done after it."""
    called = np.zeros(len(lines), dtype=np.bool_)
    words: dict[int, str] = {}
    for call in facts.calls:
        line = _line_of(lines, call)
        if line >= 0 and latest[line] <= call.seen:
            called[line] = True
            words.setdefault(line, call.text)
    return called, words


def _line_of(lines: Lines, call: Call) -> int:
    return int(lines.find(np.array([call.machine]), np.array([call.service]))[0])


def _worn(
    facts: Facts, lines: Lines, latest: Days, uses: dict[str, KindUse]
) -> tuple[Flags, Floats, dict[int, str]]:
    """Judge what was measured since each service was last done against its limits.

    Each place wears by itself, so each has a trend of its own: the worst of them decides, and one
    that is past its limit is enough.
    """
    worn, life = np.zeros(len(lines), dtype=np.bool_), np.full(len(lines), np.nan)
    words: dict[int, str] = {}
    seen = facts.measured
    line = lines.find(seen.machine, seen.then)
    day = np.floor(seen.day).astype(np.int64).astype("datetime64[D]")
    since = np.flatnonzero((line >= 0) & ~(day <= latest[line]))
    if not since.size:
        return worn, life, words
    at_life = _life_when_measured(facts, lines, line, uses)
    for low in (True, False):
        limit = (seen.low if low else seen.high)[since]
        rows = since[~np.isnan(limit)]
        pairs, number = np.unique(
            np.column_stack([line[rows], seen.series[rows]]), axis=0, return_inverse=True
        )
        if not rows.size:
            continue
        bound = WearLimit(_strictest(limit[~np.isnan(limit)], number, low), np.array(not low))
        reached = limit_reached(Measurements(number, at_life[rows], seen.value[rows]), bound)
        meets = _trend(number, at_life[rows], seen.value[rows], bound)
        np.logical_or.at(worn, pairs[:, 0], reached)
        np.fmin.at(life, pairs[:, 0], meets)
        last = np.zeros(len(pairs), dtype=np.int64)
        last[number] = rows  # of several numpy keeps the last, and they come in order of time
        for place in _worst_last(reached, meets).tolist():
            words[int(pairs[place, 0])] = _said(facts, int(last[place]))
    return worn, life, words


def _strictest(bounds: Floats, number: Ints, low: bool) -> Floats:
    """Return the bound of each series: that which is met first, where services give several."""
    found = np.full(int(number.max()) + 1, -np.inf if low else np.inf)
    (np.maximum if low else np.minimum).at(found, number, bounds)
    return found


def _worst_last(reached: Flags, meets: Floats) -> Ints:
    """Return the series in order: the last one is past its limit, or meets it first."""
    late = np.where(np.isnan(meets), np.inf, meets)
    return np.lexsort((-late, reached))


def _trend(number: Ints, life: Floats, value: Floats, bound: WearLimit) -> Floats:
    """Return where each trend meets its limit; values without a life say nothing."""
    known = ~np.isnan(life)
    measured = Measurements(number[known], life[known], value[known])
    return limit_life(measured, bound)


def _said(facts: Facts, row: int) -> str:
    """Say what was measured, and against which limit."""
    seen = facts.measured
    bounds = [f"{b:g}" for b in (seen.low[row], seen.high[row]) if not np.isnan(b)]
    unit = f" {seen.units[row]}" if seen.units[row] else ""
    return f"{seen.names[row]} {seen.value[row]:g}{unit}, limit {' to '.join(bounds)}{unit}"


def _life_when_measured(facts: Facts, lines: Lines, line: Ints, uses: dict[str, KindUse]) -> Floats:
    seen = facts.measured
    life = np.full(seen.machine.size, np.nan)
    day = seen.day - facts.machines.today[seen.machine]
    kinds = np.where(line >= 0, lines.kind[line], "")
    for kind, use in uses.items():
        at = np.flatnonzero((kinds == kind) & (use.local[seen.machine] >= 0))
        life[at] = use.life_on(use.local[seen.machine[at]], day[at])
    return life


def last_used(facts: Facts, uses: dict[str, KindUse]) -> Days:
    """Return the last day on which each machine was surely in service, (n,); NaT for none.

    Its meter had moved by then, or it was out on a booking.  A machine that was never seen at
    work since its start counts from the start.
    """
    machines = facts.machines
    latest = machines.started.astype(np.int64)
    for use in uses.values():
        line = use.cleaned
        moved = np.flatnonzero(np.diff(line.points_life) > 0) + 1
        moved = moved[line.machine[moved] == line.machine[moved - 1]]
        owner = use.meters.machine[line.machine[moved]]
        day = np.floor(line.day[moved]).astype(np.int64) + machines.today[owner]
        np.maximum.at(latest, owner, day)
    for promise in facts.use.promises:
        today = int(machines.today[promise.machine])
        if day_number(promise.first) <= today:
            out_until = min(day_number(promise.last), today)
            latest[promise.machine] = max(latest[promise.machine], out_until)
    return latest.astype("datetime64[D]")
