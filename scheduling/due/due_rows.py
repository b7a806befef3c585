"""From arrays to the rows of due points, with their sentences."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import numpy as np

from scheduling.core.forecast import HORIZON, Evidence
from scheduling.core.intervals import DueState
from scheduling.due.consequences import Consequences
from scheduling.due.line_states import WORDS
from scheduling.due.sentences import DueWording, optional, why
from scheduling.facts.yard_days import Days, Floats, from_number

DUE_FIELDS = (
    "interval_id", "state", "driver", "hard", "never_done", "last_done_on", "meter_kind",
    "life_now", "read_on", "due_life", "opens_life", "closes_life", "remaining",
    "due_day", "opens_day", "closes_day", "p10", "p50", "p90",
    "chance_due", "chance_overdue", "rate_per_day", "why",
)  # fmt: skip
"""Fields of a due point beside machine and service, in the order of `due_rows`."""

LIFE_PLACES = 3
"""Decimals kept of a life: a thousandth of an hour or of a metre."""


def due_rows(
    outcome: Consequences, said: list[DueWording]
) -> dict[tuple[int, int], tuple[Any, ...]]:
    """Return (machine key, service key) -> values of `DUE_FIELDS`, for the lines that stand."""
    lines, machines = outcome.lines, outcome.facts.machines
    table = list(zip(*_columns(outcome), [why(line) for line in said], strict=True))
    keys = zip(machines.ids[lines.machine].tolist(), lines.service.tolist(), strict=True)
    stands = outcome.stands.tolist()
    return {key: row for key, row, stand in zip(keys, table, stands, strict=True) if stand}


def _columns(outcome: Consequences) -> Iterator[list[Any]]:
    """Yield the columns of `DUE_FIELDS` but the last, as plain values."""
    points, forecasts, lines = outcome.points, outcome.forecasts, outcome.lines
    today = outcome.facts.machines.today[lines.machine]
    yield [key or None for key in lines.interval.tolist()]
    yield [WORDS[DueState(state)] for state in outcome.state.tolist()]
    yield outcome.driver.tolist()
    yield points.hard.tolist()
    yield points.never_done.tolist()
    yield dates(outcome.last_done)
    yield lines.kind.tolist()
    yield numbers(forecasts.life_now, LIFE_PLACES)
    yield day_after(today, np.floor(forecasts.read_day))
    for life in (points.due_life, points.opens_life, points.closes_life, forecasts.remaining):
        yield numbers(life, LIFE_PLACES)
    for day in (points.due_day, points.opens_day, points.closes_day):
        yield dates(day)
    for quantile in forecasts.first_days.T:
        yield day_after(today, quantile)
    yield numbers(forecasts.chance_due, 4)
    yield numbers(forecasts.chance_overdue, 4)
    yield numbers(forecasts.rate, 4)


def said_of(outcome: Consequences) -> list[DueWording]:
    """Return what the sentences of all lines are made of."""
    facts, lines, points, forecasts = (
        outcome.facts, outcome.lines, outcome.points, outcome.forecasts,
    )  # fmt: skip
    machines, services = facts.machines, facts.rules.services
    today = machines.today[lines.machine]
    recent, share, own = _summaries(outcome)
    past = np.where(np.isnan(forecasts.life_now), np.nan, forecasts.life_now - points.closes_life)
    columns = zip(
        [services[key]["name"] for key in lines.service.tolist()],
        [WORDS[DueState(state)].value for state in outcome.state.tolist()],
        outcome.driver.tolist(),
        lines.kind.tolist(),
        [machines.units[i] for i in lines.machine.tolist()],
        [from_number(day) for day in today.tolist()],
        numbers(forecasts.remaining, LIFE_PLACES),
        numbers(past, LIFE_PLACES),
        dates(points.due_day),
        day_after(today, forecasts.first_days[:, 1]),
        dates(outcome.last_done),
        numbers(recent, LIFE_PLACES),
        numbers(forecasts.rate, LIFE_PLACES),
        numbers(share, 2),
        own.tolist(),
        outcome.maybe.tolist(),
        points.never_done.tolist(),
        [outcome.triggers.words.get(i, "") for i in range(len(lines))],
        strict=True,
    )
    return [DueWording(*row) for row in columns]


def _summaries(outcome: Consequences) -> tuple[Floats, Floats, np.ndarray]:
    """Return each line's recent rate, share on hire, and whether its own readings carry it."""
    lines = outcome.lines
    recent, share = np.full(len(lines), np.nan), np.full(len(lines), np.nan)
    own = np.zeros(len(lines), dtype=np.bool_)
    for kind, use in outcome.uses.items():
        at = np.flatnonzero((lines.kind == kind) & (use.local[lines.machine] >= 0))
        local = use.local[lines.machine[at]]
        recent[at], share[at] = use.summary.recent_rate[local], use.summary.hire_share[local]
        own[at] = np.isin(use.summary.evidence[local], [Evidence.OWN, Evidence.THIN])
    return recent, share, own


def numbers(values: Floats, places: int) -> list[float | None]:
    """Return rounded numbers, None for those that are not finite."""
    return [optional(value) for value in np.round(values, places).tolist()]


def dates(days: Days) -> list[date | None]:
    """Return dates, None for no day."""
    return days.astype("datetime64[D]").tolist()


def day_after(today: np.ndarray, offset: Floats) -> list[date | None]:
    """Return the dates `offset` days after each today; None beyond the forecast's horizon."""
    near = np.isfinite(offset) & (offset <= HORIZON)
    days = (today + np.where(near, offset, 0)).astype(np.int64).astype("datetime64[D]")
    days[~near] = np.datetime64("NaT", "D")
    return dates(days)
