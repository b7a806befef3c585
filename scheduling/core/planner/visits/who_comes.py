"""Price a machine's visits by day and by who comes: one mechanic, a crew, or a relaxation of it."""

from dataclasses import replace
from typing import Any

import numpy as np

from scheduling.core.planner.problem import Case, Floats, ticks

from .inside import Inside
from .span import lasts_days
from .teams import needs_teams, teams_of


def priced_by_crew(case: Case, inside: Inside, fixed_share: float) -> dict[str, Any]:
    """Return the fields of `Visits` that depend on who comes, and for how many hours and days."""
    if fixed_share < 1.0:
        return _relaxed(case, inside, fixed_share)
    if not needs_teams(inside.tasks):
        return _one_mechanic(case, inside, inside.hours, 1.0)
    teams = teams_of(case, inside)
    return {
        "time": np.array([ticks.up(h, case.scale) for h in inside.hours]),
        "time_low": teams.first_time,
        "halves": inside.halves,
        **{
            name: getattr(teams, name)
            for name in ("bare", "cost", "lead", "second", "last", "uses")
        },
    }


def _one_mechanic(
    case: Case, inside: Inside, charged: Floats, fixed_share: float
) -> dict[str, Any]:
    """Return the fields of `Visits` where each takes one mechanic on one day."""
    demand = np.array(inside.machine.demand)[None, :]
    downtime = inside.halves[:, None] / 2 * inside.machine.day_rate * demand
    fixed = fixed_share * (inside.fixed[:, None] + downtime)
    money = inside.member @ inside.timing[:, : case.days] + fixed
    cost = money[:, :, None] + np.tensordot(inside.member, inside.change, 1)
    cost[inside.forbidden] = np.inf
    alone = np.arange(len(case.mechanics))
    return {
        "time": np.array([ticks.up(h, case.scale) for h in charged]),
        "time_low": np.array([ticks.down(h, case.scale) for h in charged]),
        "halves": inside.halves,
        "bare": money,
        "cost": cost,
        "lead": alone,
        "second": np.full_like(alone, -1),
        "last": None,
        "uses": None,
    }


def _relaxed(case: Case, inside: Inside, fixed_share: float) -> dict[str, Any]:
    """Return the fields of `Visits` for a part of a machine's tasks, of which visits hold more."""
    work = inside.member @ np.array([t.hours for t in inside.tasks])
    # The tasks' own hours count whole, as they are split among the parts; what a visit takes as
    # such counts by its share.
    charged = work + fixed_share * (inside.hours - work)
    on_machine = [t for t in case.problem.tasks.values() if t.machine == inside.machine.id]
    if lasts_days(on_machine):
        timing = inside.timing.copy()
        until = timing[:, : case.days]
        # The least overdue and waste of any later day: where long work ends is left open, so this
        # is a bound from below, whatever day it is.
        until[:] = np.minimum.accumulate(until[:, ::-1], axis=1)[:, ::-1]
        inside, charged = replace(inside, timing=timing), np.zeros_like(charged)
    fields = _one_mechanic(case, inside, charged, fixed_share)
    # No bay: several parts of one visit would each be charged the bay that they share.
    return fields | {"halves": np.zeros_like(inside.halves)}
