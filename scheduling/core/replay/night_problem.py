"""What there is to plan on a night, in the instance format ``shop-plan-1``."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scheduling.core.intervals import DuePoints
from scheduling.core.planner import Spot
from scheduling.core.replay.due_then import DueThen, due_then
from scheduling.core.replay.night_facts import NightFacts, hours_known
from scheduling.core.replay.past_shop import PastShop

MARGIN_DAYS = 14
"""Days past the horizon up to which due work is looked at, and by which covered work waits."""

SHARE_EARLY = 0.1
"""Share of its interval by which a service that covers another is done early for its sake."""

HARD_COST = 60.0
"""Least money a day past a hard limit."""

HALF_DAY = 0.5
"""Days that a visit takes a machine out of the yard for, where it brings the next one sooner."""

HERE = "shop"
"""The one yard of an instance."""


@dataclass(frozen=True)
class _Piece:
    """One service to plan: line, days, last day (None: none), covered lines beside it."""

    line: int
    due: tuple[float, float, float]
    limit: int | None
    blocks: bool
    cost: float


def night_problem(
    shop: PastShop, facts: NightFacts, points: DuePoints, stood: Mapping[int, Spot]
) -> dict[str, Any]:
    """Return a night's instance; stood: places by line from the night before, in its own days."""
    then = due_then(shop, points, facts.night, facts.foresight)
    pieces = _pieces(shop, points, then, facts.night)
    used = sorted({int(shop.lines.machine[piece.line]) for piece in pieces})
    return {
        "format": "shop-plan-1",
        "horizon_days": shop.horizon,
        "frozen_days": 0,
        "weights": dict(shop.weights),
        "yards": [{"id": HERE, "bays": shop.bays, "closed_days": []}],
        "sites": [{"closed_days": [], "yard": HERE, **site} for site in shop.sites],
        "mechanics": _mechanics(shop, facts),
        "parts": [],
        "setups": [],
        "machines": [_machine(shop, facts, row) for row in used],
        "tasks": [
            _task(shop, piece, stood.get(piece.line), _early_price(shop, facts, then, piece.line))
            for piece in pieces
        ],
    }


def _mechanics(shop: PastShop, facts: NightFacts) -> list[dict[str, Any]]:
    crew = shop.crew
    hours = hours_known(crew, facts.night, shop.horizon, facts.kept_back)
    return [
        {
            "id": person.name, "yard": HERE, "skills": sorted(person.skills), "hours": theirs,
            "overtime_limit_hours": crew.overtime_limit,
            "overtime_cost_per_hour": crew.overtime_cost,
        }
        for person, theirs in zip(crew.people, hours, strict=True)
    ]  # fmt: skip


def _machine(shop: PastShop, facts: NightFacts, row: int) -> dict[str, Any]:
    machine = shop.machines[row]
    return {
        "id": machine.name, "yard": HERE, "site": machine.site, "day_rate": machine.day_rate,
        "demand": [round(float(facts.demand[row]), 4)] * shop.horizon,
        "bookings": [
            {"id": str(p.key), "first_day": p.first, "last_day": p.last, "value": p.value}
            for p in facts.promises.get(row, ())
        ],
        "visit_hours": machine.visit_hours, "visit_cost": machine.visit_cost,
    }  # fmt: skip


def _pieces(shop: PastShop, points: DuePoints, then: DueThen, night: int) -> list[_Piece]:
    """Return what is near enough to plan; what another service does with it is left out."""
    lines = shop.lines
    near = (then.days[:, 1] < shop.horizon + MARGIN_DAYS) & (lines.since <= night)
    left = sorted(np.flatnonzero(near).tolist(), key=lambda k: (-len(lines.covers[k]), k))
    pieces = []
    while left:
        upper = left.pop(0)
        early = max(MARGIN_DAYS, SHARE_EARLY * then.length[upper])
        lower = [
            k for k in left
            if k in lines.covers[upper] and then.days[upper, 1] - then.days[k, 1] <= early
        ]  # fmt: skip
        left = [k for k in left if k not in lower]
        pieces.append(_joint(shop, points, then, [upper, *lower]))
    return sorted(pieces, key=lambda piece: piece.line)


def _joint(shop: PastShop, points: DuePoints, then: DueThen, group: list[int]) -> _Piece:
    """Join a service with those that are done with it: the first of their days, the dearest."""
    days = then.days[group].min(axis=0)
    limit = float(then.limit[group].min())
    cost = np.where(
        points.hard[group],
        np.maximum(shop.lines.overdue_cost[group], HARD_COST),
        shop.lines.overdue_cost[group],
    )
    return _Piece(
        group[0],
        (float(days[0]), float(days[1]), float(days[2])),
        int(limit) if 0 <= limit < np.inf else None,
        bool((shop.lines.blocks[group] | points.hard[group]).any()),
        float(cost.max()),
    )


def _early_price(shop: PastShop, facts: NightFacts, then: DueThen, line: int) -> float:
    """Return the money of a day by which a line is done early, as the site's own plans have it."""
    row = int(shop.lines.machine[line])
    machine = shop.machines[row]
    visit = machine.visit_cost + HALF_DAY * machine.day_rate * float(facts.demand[row])
    return round((float(shop.lines.value[line]) + visit) / float(then.length[line]), 4)


def _task(shop: PastShop, piece: _Piece, stood: Spot | None, early: float) -> dict[str, Any]:
    lines, line = shop.lines, piece.line
    second = lines.second[line]
    return {
        "id": str(line),
        "machine": shop.machines[int(lines.machine[line])].name,
        "hours": float(lines.minutes[line]) / 60,
        "skill": lines.skill[line],
        "due": dict(zip(("p10", "p50", "p90"), piece.due, strict=True)),
        "limit_day": piece.limit,
        "overdue_cost_per_day": piece.cost,
        "waste_cost_per_day": early,
        "parts": [],
        "setups": [],
        "blocks_rental": piece.blocks,
        "previous": None if stood is None else {"day": stood.day, "mechanic": stood.mechanic},
        "pin": None,
        "second": second and {"hours": second[0] / 60, "skill": second[1]},
        "several_days": bool(lines.several_days[line]),
    }
