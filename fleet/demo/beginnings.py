"""Where each machine of the demo stands eighteen months ago: age, lives, pace, last services."""

from datetime import date
from typing import Any

import numpy as np
from dateutil.relativedelta import relativedelta

from fleet.demo.daily_use import machine_pace, mean_a_day
from fleet.demo.live_machine import StartingPoint, World
from fleet.demo.roster import Unit
from fleet.demo.scenario import HirePattern
from fleet.demo.shopwork import Done
from fleet.demo.simulated_meters import SimulatedMeter

NEW_SHARE = 0.14
"""Share of machines that were bought within the eighteen months."""


def paces(rng: np.random.Generator, unit: Unit) -> dict[str, float]:
    """Kind -> how hard this machine is used against its class."""
    pattern = unit.slot.pattern
    spread = pattern.between_machines if isinstance(pattern, HirePattern) else 0.3
    return {pattern.kind: machine_pace(rng, spread)} | {
        also.kind: machine_pace(rng, 0.12) for also in pattern.also
    }


def _started(rng: np.random.Generator, unit: Unit, world: World) -> int:
    length = world.today - world.first
    if unit.story("unread"):
        return world.today - 3
    if not unit.stories and rng.random() < NEW_SHARE:
        return world.first + int(rng.integers(20, length - 30))
    return world.first - int(rng.integers(150, 365 * 7))


def _lives(unit: Unit, world: World, started: int, pace: dict[str, float]) -> dict[str, float]:
    pattern = unit.slot.pattern
    age = max(0, world.first - started)
    lives = {pattern.kind: age * mean_a_day(pattern) * pace[pattern.kind]}
    for also in pattern.also:
        lives[also.kind] = lives[pattern.kind] * also.per_unit * pace[also.kind]
    for meter in unit.slot.make_up["meters"]:
        # No machine but that of the story is so old that its meter has gone round.
        limit = meter.get("rolls_over_at")
        if limit:
            lives[meter["kind"]] %= 0.55 * limit
    return lives


def _season_back(rule: dict[str, Any], first: int, late: int) -> int:
    """Days since the last time that a season's service was done, a few days after its date."""
    start = date.fromordinal(first)
    point = date(start.year, rule["season_month"], rule["season_day"]).toordinal()
    return (first - point + 365 - late - 1) % 365 + 1


def _last_done(
    rng: np.random.Generator,
    rule: dict[str, Any],
    world: World,
    started: int,
    lives: dict[str, float],
    a_day: dict[str, float],
) -> Done | None:
    """A last service some share of an interval before the span began, if it was old enough."""
    start = date.fromordinal(world.first)
    share = float(rng.uniform(0.03, 0.95))
    months = rule.get("every_months")
    period = rule.get("every_days") or 500
    if months:
        period = (start + relativedelta(months=months) - start).days
    back, past, kind = share * period, dict(lives), rule.get("meter_kind")
    if rule.get("season_month"):
        back = _season_back(rule, world.first, int(rng.integers(2, 20)))
    elif kind in past:
        back = min(back, share * rule["every"] / a_day[kind])
    back = max(1, int(back))
    past = {k: max(0.0, life - back * a_day[k]) for k, life in past.items()}
    day = world.first - back
    return Done(day, past) if day > started else None


def beginning(rng: np.random.Generator, unit: Unit, world: World) -> StartingPoint:
    """Draw where one machine stands as the span begins."""
    pace = paces(rng, unit)
    started = _started(rng, unit, world)
    lives = _lives(unit, world, started, pace)
    rules = world.rules[unit.slot.make_up["rules"]]
    a_day = {kind: life / max(1, world.first - started) for kind, life in lives.items()}
    last = (
        {rule["service"]: _last_done(rng, rule, world, started, lives, a_day) for rule in rules}
        if started < world.first
        else {}
    )
    dusty = unit.story("dusty")
    return StartingPoint(
        started=started,
        lives=lives,
        done={code: [done] for code, done in last.items() if done},
        dials={kind: [SimulatedMeter(kind, started, 6 * 60)] for kind in lives},
        paces=pace,
        factor=world.duty[unit.slot.yard] * (dusty["duty_factor"] if dusty else 1.0),
    )
