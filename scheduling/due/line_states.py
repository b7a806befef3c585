"""The state of each line and what drives it: the rules that people read as one word."""

import numpy as np
from numpy.typing import NDArray

from scheduling.core.intervals import DuePoints, DueState, due_states
from scheduling.due.line_forecasts import Forecasts
from scheduling.due.line_rules import LineRules
from scheduling.due.lines import Lines
from scheduling.due.triggers import Triggers
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Flags, Ints
from scheduling.models import DuePoint, State

LIKELY = 0.5
"""Chance of being due already above which a service counts as due, though no reading shows it."""

WORDS = {
    DueState.CLEAR: State.CLEAR,
    DueState.UNKNOWN: State.UNKNOWN,
    DueState.COMING_DUE: State.COMING_DUE,
    DueState.DUE: State.DUE,
    DueState.OVERDUE: State.OVERDUE,
}


def maybe_due(forecasts: Forecasts, states: Ints) -> Flags:
    """Tell where no reading shows a service due, but chances are that it is, (l,)."""
    return (forecasts.chance_due > LIKELY) & (states < DueState.DUE)


def line_states(facts: Facts, lines: Lines, points: DuePoints, forecasts: Forecasts) -> Ints:
    """Return the `DueState` of each line as the last trusted reading shows it, (l,)."""
    today = facts.machines.today[lines.machine].astype("datetime64[D]")
    return due_states(
        points, today, forecasts.life_now, forecasts.meter_days[:, 1], facts.machines.look_ahead
    )


def drivers(
    lines: Lines, rules: LineRules, points: DuePoints, forecasts: Forecasts, triggers: Triggers
) -> NDArray[np.str_]:
    """Say which side of each line comes first, (l,)."""
    kinds = DuePoint.Driver
    far = np.where(np.isfinite(forecasts.remaining), forecasts.remaining, np.inf)
    expected = np.where(
        np.isfinite(forecasts.meter_days[:, 1]),
        forecasts.meter_days[:, 1],
        far / np.maximum(forecasts.rate, 1e-9),
    )
    calendar = np.nan_to_num(forecasts.calendar_day, nan=np.inf)
    on_meter = ~np.isnan(points.due_life) & ~(calendar < np.nan_to_num(expected, nan=np.inf))
    by_trend = on_meter & (triggers.wear_life <= points.due_life)
    return np.select(
        [
            triggers.called, triggers.worn, triggers.idle, points.due_at_once,
            by_trend, on_meter, np.isfinite(calendar) & _on_season(rules, points),
            np.isfinite(calendar), rules.idle_months > 0,
        ],
        [
            kinds.FINDING, kinds.TREND, kinds.IDLE, kinds.NEVER,
            kinds.TREND, kinds.METER, kinds.SEASON, kinds.CALENDAR, kinds.IDLE,
        ],
        default="",
    )  # fmt: skip


def _on_season(rules: LineRules, points: DuePoints) -> Flags:
    """Tell where the due day is the season's, not the interval's."""
    calendar = rules.calendar
    no_interval = (calendar.months == 0) & (calendar.days == 0)
    month = points.due_day.astype("datetime64[M]").astype(np.int64) % 12 + 1
    return rules.season & (no_interval | (month == calendar.season_month))
