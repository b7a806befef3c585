"""When each line's due point is reached: quantile days and chances, meter and calendar joined."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import HORIZON, DueTasks, due_chance, due_range, first_of_days
from scheduling.core.intervals import DuePoints
from scheduling.due.lines import Lines
from scheduling.due.meter_use import KindUse
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Floats

MIDDLE = 0.5
"""Chance of the middle date."""


@dataclass(frozen=True)
class Forecasts:
    """Forecasts of l lines; days are whole days from the yard's today, inf: beyond 120 days.

    meter_days, first_days: quantile days of the meter side alone, and of the first side to come,
    (l, 3); calendar_day: of the calendar side, NaN for none; chance_due, chance_overdue: by the
    end of today; closes_early: the early day (p10) of the late end on the meter; life_now: life at
    the last trusted reading, NaN if never read; read_day: its day; remaining: life left to the due
    point; rate: expected use a day; all (l,).
    """

    meter_days: Floats
    first_days: Floats
    calendar_day: Floats
    chance_due: Floats
    chance_overdue: Floats
    closes_early: Floats
    life_now: Floats
    read_day: Floats
    remaining: Floats
    rate: Floats


def forecast_lines(
    facts: Facts, lines: Lines, points: DuePoints, uses: dict[str, KindUse]
) -> Forecasts:
    """Forecast all lines, one call of the core for each kind of meter."""
    n = len(lines)
    meter_days = np.full((n, 3), np.inf)
    chance, overdue, closes = np.zeros(n), np.zeros(n), np.full(n, np.inf)
    life, read, remaining, rate = (np.full(n, np.nan) for _ in range(4))
    for kind, use in uses.items():
        at = np.flatnonzero((lines.kind == kind) & (use.local[lines.machine] >= 0))
        local = use.local[lines.machine[at]]
        life[at], rate[at] = use.read_life[local], use.summary.rate[local]
        read[at] = np.where(use.meters.unread, np.nan, use.cleaned.last_day)[local]
        left = points.due_life[at] - use.last_life[local]
        asked = np.flatnonzero(~np.isnan(left))
        at, local, left = at[asked], local[asked], left[asked]
        remaining[at] = left
        to_close = points.closes_life[at] - use.last_life[local]
        tasks = DueTasks(np.concatenate([local, local]), np.concatenate([left, to_close]))
        asked_for = (use.levels[0], MIDDLE, use.levels[1])
        days = due_range(use.lesson.model, use.outlook, tasks, asked_for)
        chances = due_chance(use.lesson.model, use.outlook, tasks, [0])[:, 0]
        meter_days[at], chance[at] = days[: at.size], chances[: at.size]
        closes[at], overdue[at] = days[at.size :, 0], chances[at.size :]
    return _joined(
        facts, lines, points, meter_days, (chance, overdue, closes), (life, read, remaining, rate)
    )


def _joined(
    facts: Facts, lines: Lines, points: DuePoints, meter_days: Floats,
    meter: tuple[Floats, Floats, Floats], seen: tuple[Floats, Floats, Floats, Floats],
) -> Forecasts:  # fmt: skip
    chance, overdue, closes = meter
    today = facts.machines.today[lines.machine]
    due, closing = offset_days(points.due_day, today), offset_days(points.closes_day, today)
    sure = (due <= 0) | points.due_at_once
    calendar = np.where(due <= HORIZON, due, np.nan)
    first = first_of_days(meter_days, np.where(points.due_at_once, 0.0, calendar))
    return Forecasts(
        meter_days=meter_days,
        first_days=first,
        calendar_day=due,
        chance_due=np.where(sure, 1.0, chance),
        chance_overdue=np.where(closing < 0, 1.0, overdue),
        closes_early=closes,
        life_now=seen[0],
        read_day=seen[1],
        remaining=seen[2],
        rate=seen[3],
    )


def offset_days(day: np.ndarray, today: np.ndarray) -> Floats:
    """Return days from today, NaN for no day."""
    return np.where(np.isnat(day), np.nan, day.astype(np.int64) - today)
