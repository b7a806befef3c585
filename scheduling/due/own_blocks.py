"""Blocks that follow from a machine's own state: holds, overdue services, hard limits, idleness."""

from collections.abc import Iterator
from datetime import date

import numpy as np

from scheduling.core.intervals import DueState
from scheduling.due.block_rows import BlockRow, Cause
from scheduling.due.consequences import Consequences
from scheduling.due.sentences import DueWording
from scheduling.facts.yard_days import Floats
from scheduling.models import Block, DuePoint, State

OWN_KINDS = (Block.Kind.HOLD, Block.Kind.OVERDUE, Block.Kind.LIMIT, Block.Kind.IDLE)
"""Kinds that follow from a machine's own state, without bookings and plan."""


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
            kind, row = found
            rows[(int(machines.ids[machine]), kind, key)] = row._replace(due_point_id=key)
    return rows


def _holds(outcome: Consequences) -> Iterator[tuple[Cause, BlockRow]]:
    for hold in outcome.facts.holds:
        pk = int(outcome.facts.machines.ids[hold.machine])
        row = BlockRow(hold.since, hard=True, hold_id=hold.key)
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
) -> tuple[str, BlockRow] | None:
    """Return kind and values of the block that one line makes, if any."""
    service = outcome.facts.rules.services[int(outcome.lines.service[line])]
    machine = int(outcome.lines.machine[line])
    day, hard = outcome.facts.machines.day, bool(outcome.points.hard[line])
    if said.driver == DuePoint.Driver.IDLE and outcome.triggers.idle[line]:
        barred = hard or service["blocks_rental"]
        return (Block.Kind.IDLE, BlockRow(day(machine), hard=hard)) if barred else None
    if hard:
        return _limit(said, day(machine, limit), limit) if np.isfinite(limit) else None
    if outcome.state[line] == DueState.OVERDUE and service["blocks_rental"]:
        past = said.past_window if said.past_window and said.past_window > 0 else None
        row = BlockRow(day(machine), meter_kind=said.kind, past_by=past, due_day=said.due_day)
        return Block.Kind.OVERDUE, row
    return None


def _limit(said: DueWording, first: date, limit: float) -> tuple[str, BlockRow]:
    """Return how a machine stands to a hard limit, and from which day on it is barred."""
    reach = Block.Reach.PERHAPS if limit <= 0 else Block.Reach.AHEAD
    if said.state == State.OVERDUE:
        reach = Block.Reach.PAST
    return Block.Kind.LIMIT, BlockRow(first, hard=True, reach=reach, meter_kind=said.kind)
