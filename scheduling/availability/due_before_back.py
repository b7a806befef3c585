"""For each service that keeps a machine here: the chance that it falls due before it is back.

A due point carries its forecast as days: p10, p50 and p90, and the chance that it is due by the end
of today.  Between and beyond them the chance is read off on a normal scale (z), straight from one
to the next, at the day to which usual time runs on by the use on hire (`use_on_hire`).  Where none
of them lies within the 120 days of a forecast, what is left on the meter over the mean use tells
the middle, with a spread of a third of the way (our judgement).  A date of the calendar is certain.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist

from fleet.saying import say_percent
from scheduling.availability.counter_facts import CounterFacts, Days
from scheduling.models import DuePoint, State

NORMAL = NormalDist()
LEAST = 0.01
"""Chances nearer to none or all than this are said as such: no figure can be trusted so far."""

SPREAD = 1 / 3
"""Standard deviation of a day that lies beyond the forecast, as a part of the way to it."""


@dataclass(frozen=True)
class ServiceChance:
    """One service and its chance to fall due by the end of the last day."""

    service: str
    chance: float

    @property
    def words(self) -> str:
        """The chance as people say it: "under 1 %", "35 %", "over 99 %"."""
        if self.chance < LEAST:
            return "under 1 %"
        return "over 99 %" if self.chance > 1 - LEAST else say_percent(self.chance)


def service_chances(standing: CounterFacts, days: Days, today: date) -> list[ServiceChance]:
    """Return the chances of the services that keep a machine here, the likeliest first."""
    found = []
    for point in standing.due_points:
        if point.hard or point.service.blocks_rental:
            chance = _chance(point, standing, days, today)
            if chance is not None:
                found.append(ServiceChance(str(point.service), chance))
    return sorted(found, key=lambda one: (-one.chance, one.service))


def _chance(point: DuePoint, standing: CounterFacts, days: Days, today: date) -> float | None:
    if point.due_day and point.due_day <= days.last:
        return 1.0
    known = _known(point, today)
    if not known:
        return 1.0 if point.state in (State.DUE, State.OVERDUE) else None
    day = standing.use.usual_day(point, days.first, days.last)
    return NORMAL.cdf(_z_on(known, day))


def _known(point: DuePoint, today: date) -> list[tuple[float, float]]:
    """Return days and the z of their chance, both rising."""
    told = [(0.1, point.p10), (0.5, point.p50), (0.9, point.p90)]
    found = [(float(day.toordinal()), NORMAL.inv_cdf(chance)) for chance, day in told if day]
    if point.chance_due and 0 < point.chance_due < 1:
        found.append((float(today.toordinal()), NORMAL.inv_cdf(point.chance_due)))
    left, rate = point.remaining, point.rate_per_day
    if len(found) < 2 and left is not None and left > 0 and rate and rate > 0:
        way = left / rate
        found += [(today.toordinal() + way, 0.0), (today.toordinal() + way * (1 + SPREAD), 1.0)]
    return _rising(sorted(found))


def _rising(pairs: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Keep of each day its highest chance, and leave out what falls below one before."""
    kept: list[tuple[float, float]] = []
    for day, z in pairs:
        if kept and day == kept[-1][0]:
            kept[-1] = (day, max(z, kept[-1][1]))
        elif not kept or z > kept[-1][1]:
            kept.append((day, z))
    return kept


def _z_on(known: Sequence[tuple[float, float]], day: float) -> float:
    """Return z on a day, straight between two known days and on beyond the first and the last."""
    if len(known) == 1:
        return 9.0 if day >= known[0][0] else -9.0
    at = next((n for n in range(1, len(known) - 1) if day < known[n][0]), len(known) - 1)
    (a, low), (b, high) = known[at - 1], known[at]
    return max(-9.0, min(9.0, low + (high - low) * (day - a) / (b - a)))
