"""Blocks that follow from a machine's own state: holds, overdue services, hard limits, idleness."""

from collections.abc import Iterator
from datetime import date

import numpy as np

from fleet.saying import short_date
from scheduling.core.intervals import DueState
from scheduling.due.consequences import Consequences
from scheduling.due.sentences import DueWording, headline, meter_word
from scheduling.facts.yard_days import Floats
from scheduling.models import Block, DuePoint

BLOCK_FIELDS = (
    "last_day", "first_day", "hard", "due_point_id", "hold_id", "booking_id", "sentence",
)  # fmt: skip
"""Fields of a block beside machine, kind and cause."""

OWN_KINDS = (Block.Kind.HOLD, Block.Kind.OVERDUE, Block.Kind.LIMIT, Block.Kind.IDLE)
"""Kinds that follow from a machine's own state, without bookings and plan."""

BlockRow = tuple[date | None, date, bool, int | None, int | None, int | None, str]
Cause = tuple[int, str, int]
"""Machine, kind, and the key of the due point, hold or booking (or the day) that causes it."""


def own_blocks(
    outcome: Consequences, said: list[DueWording], due_points: dict[tuple[int, int], int]
) -> dict[Cause, BlockRow]:
    """Return the blocks of `OWN_KINDS`, by cause."""
    rows = dict(_holds(outcome))
    limits = limit_days(outcome)
    lines, machines = outcome.lines, outcome.facts.machines
    blocking = outcome.points.hard | (outcome.state == DueState.OVERDUE) | outcome.triggers.idle
    for line in np.flatnonzero(outcome.stands & blocking).tolist():
        machine = int(lines.machine[line])
        key = due_points[int(machines.ids[machine]), int(lines.service[line])]
        found = _block(outcome, line, said[line], limits[line])
        if found:
            kind, first, hard, sentence = found
            cause = (int(machines.ids[machine]), kind, key)
            rows[cause] = (None, first, hard, key, None, None, sentence[:400])
    return rows


def _holds(outcome: Consequences) -> Iterator[tuple[Cause, BlockRow]]:
    for hold in outcome.facts.holds:
        pk = int(outcome.facts.machines.ids[hold.machine])
        since = short_date(hold.since, outcome.facts.machines.day(hold.machine))
        sentence = f"Held by {hold.by} since {since}: {hold.reason}"[:400]
        row = (None, hold.since, True, None, hold.key, None, sentence)
        yield (pk, Block.Kind.HOLD, hold.key), row


def limit_days(outcome: Consequences) -> Floats:
    """Return the first day on which each hard line may be past its window, (l,).

    Days from the yard's today; the early day (p10) on the meter, inf for none.
    """
    points, forecasts = outcome.points, outcome.forecasts
    today = outcome.facts.machines.today[outcome.lines.machine]
    absent = np.isnat(points.closes_day)
    closing = np.where(absent, 0, points.closes_day.astype(np.int64)) + 1 - today
    first = np.minimum(np.where(absent, np.inf, closing), forecasts.closes_early)
    barred = points.hard & (outcome.state == DueState.OVERDUE)
    first = np.where(barred | (points.hard & outcome.triggers.at_once), 0.0, first)
    return np.where(points.hard, np.maximum(first, 0.0), np.inf)


def _block(
    outcome: Consequences, line: int, said: DueWording, limit: float
) -> tuple[str, date, bool, str] | None:
    """Return kind, first day, hardness and sentence of the block that one line makes, if any."""
    service = outcome.facts.rules.services[int(outcome.lines.service[line])]
    machine = int(outcome.lines.machine[line])
    day, hard = outcome.facts.machines.day, bool(outcome.points.hard[line])
    if said.driver == DuePoint.Driver.IDLE and outcome.triggers.idle[line]:
        if hard or service["blocks_rental"]:
            text = f"{said.service} is due before it goes back to work: it has sat too long."
            return Block.Kind.IDLE, day(machine), hard, text
        return None
    if hard:
        return _limit(said, day(machine, limit), limit) if np.isfinite(limit) else None
    if outcome.state[line] == DueState.OVERDUE and service["blocks_rental"]:
        text = f"{headline(said)}: it may not go out until this is done."
        return Block.Kind.OVERDUE, day(machine), False, text
    return None


def _limit(said: DueWording, first: date, limit: float) -> tuple[str, date, bool, str]:
    """Say what a hard limit forbids from which day on."""
    if said.state == "overdue":
        text = f"{said.service} is past its hard limit: it may not go out until this is done."
    elif limit <= 0:
        meter = meter_word(said.kind)
        text = f"{said.service} may be past its hard limit: read the {meter}, or do it first."
    else:
        when = short_date(first, said.today)
        text = f"{said.service} may reach its hard limit by {when}: do it or be back before then."
    return Block.Kind.LIMIT, first, True, text
