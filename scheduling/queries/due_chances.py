"""The chance that the due points of a machine are reached by a day, on meter and calendar."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fleet.saying import say_percent
from scheduling.core.forecast import HORIZON, DueTasks, due_chance, first_of
from scheduling.due.due_words import known_to_be_due
from scheduling.facts.yard_days import Floats
from scheduling.models import DuePoint
from scheduling.queries.machine_use import MachineUse

AHEAD = (7, 14, 30, 60, HORIZON)
"""Days ahead for which the chance is told."""

NEARLY = 0.01
"""Chances nearer to none or all than this are said as such, since no figure can be trusted so
far."""


@dataclass(frozen=True)
class DueChances:
    """Days, and for each service the chance, in words, that its due point is reached by each's end.

    asked: the day that a person asked about, first among the days; None for none.
    """

    days: Sequence[date]
    rows: Sequence[tuple[DuePoint, Sequence[str]]]
    asked: date | None = None


def chances(points: Sequence[DuePoint], known: MachineUse, asked: date | None = None) -> DueChances:
    """Return the chances of a machine's services; no query.

    asked: one more day, from today to 120 days ahead.  A service of which neither meter nor
    calendar tells anything is left out.
    """
    if not len(known.facts.machines):
        return DueChances([], [])
    today = known.today
    ahead = [(asked - today).days, *AHEAD] if asked else list(AHEAD)
    rows = []
    for point in points:
        found = _chance(point, known, ahead)
        if found is not None:
            rows.append((point, [say_chance(chance) for chance in found.tolist()]))
    return DueChances([today + timedelta(days=n) for n in ahead], rows, asked)


def _chance(point: DuePoint, known: MachineUse, ahead: Sequence[int]) -> Floats | None:
    """Return the chances of one service by so many days ahead; None where nothing is known."""
    today = known.today
    if _surely(point, today):
        return np.ones(len(ahead))
    calendar = (point.due_day - today).days if point.due_day else np.nan
    use = known.uses.get(point.meter_kind)
    on_meter = np.zeros((1, len(ahead)))
    if point.due_life is not None and use is not None and np.isfinite(use.last_life[0]):
        left = point.due_life - use.last_life
        task = DueTasks(np.zeros(1, dtype=np.int64), left)
        on_meter = due_chance(use.lesson.model, use.outlook, task, ahead)
    elif point.due_day is None:
        return None
    return np.asarray(first_of(on_meter, ahead, [calendar])[0])


def _surely(point: DuePoint, today: date) -> bool:
    """Whether it is due beyond any chance: by a reading, a date, a finding, or never yet done."""
    return known_to_be_due(point, today) or (point.chance_due or 0) >= 1


def say_chance(chance: float) -> str:
    """Say a chance: "under 1 %", "35 %", "over 99 %", "sure"."""
    if chance < NEARLY:
        return "under 1 %"
    if chance >= 1.0:
        return "sure"
    return "over 99 %" if chance > 1 - NEARLY else say_percent(chance)
