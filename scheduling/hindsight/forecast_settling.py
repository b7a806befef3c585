"""Kept forecasts settled by what the meters showed since."""

from collections.abc import Sequence

import numpy as np

from scheduling.core.forecast import HORIZON
from scheduling.core.verification import (
    DueOutcome,
    RangeForecasts,
    RangePosition,
    Settled,
    range_position,
    settle,
)
from scheduling.due.meter_use import KindUse
from scheduling.due.use_circumstances import ORIGIN
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.yard_days import Ints, day_number, from_number
from scheduling.models import KeptForecast

OUTCOMES = {
    RangePosition.EARLIER: KeptForecast.Outcome.EARLIER,
    RangePosition.INSIDE: KeptForecast.Outcome.INSIDE,
    RangePosition.LATER: KeptForecast.Outcome.LATER,
}
NOT_COUNTED = {
    DueOutcome.UNREAD: KeptForecast.Outcome.UNREAD,
    DueOutcome.GAP: KeptForecast.Outcome.GAP,
}
SETTLED_FIELDS = ("settled_on", "truth", "outcome")


def settle_forecasts(
    facts: UseFacts, use: KindUse, rows: Sequence[KeptForecast]
) -> list[KeptForecast]:
    """Note on forecasts of one kind of meter what came true; returns those that are settled now.

    Forecasts of machines that are not among the facts stay as they are.
    """
    machine, known = facts.machines.rows(tuple(row.machine_id for row in rows))
    ours = [i for i in np.flatnonzero(known).tolist() if use.local[machine[i]] >= 0]
    rows, machine = [rows[i] for i in ours], machine[ours]
    if not rows:
        return []
    local = use.local[machine]
    made = np.array([day_number(row.made_on) for row in rows]) - facts.machines.today[machine]
    due = np.array([row.due_life for row in rows]) - use.offset[local]
    found = settle(use.cleaned, local, due, made.astype(np.float64), ORIGIN)
    return _noted(rows, found, facts.machines.today[machine])


def _noted(rows: Sequence[KeptForecast], found: Settled, today: Ints) -> list[KeptForecast]:
    low, middle, high = (
        np.array([_or_beyond(getattr(row, name)) for row in rows]) for name in ("p10", "p50", "p90")
    )
    where = range_position(RangeForecasts(low, middle, high), found.truth.astype(np.float64))
    settled = np.flatnonzero(found.outcome != DueOutcome.OPEN)
    for i in settled.tolist():
        row, outcome = rows[i], DueOutcome(int(found.outcome[i]))
        row.outcome = NOT_COUNTED.get(outcome) or OUTCOMES[RangePosition(int(where[i]))]
        row.truth = None if outcome in NOT_COUNTED else int(found.truth[i])
        row.settled_on = from_number(today[i] + found.known_on[i])
    return [rows[i] for i in settled.tolist()]


def _or_beyond(day: int | None) -> float:
    return float(HORIZON if day is None else day)
