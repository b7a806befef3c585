"""What the fan of a machine's page is drawn from: its life so far, and where it may go.

The same core functions answer here as in `refresh`.  Values are in stored units (h, m, cycles).
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np

from fleet.models import Machine
from fleet.quantities import show_use
from fleet.saying import say_date, short_date
from scheduling.core.forecast import HORIZON, DueTasks, due_chance
from scheduling.core.usage import CleaningReason
from scheduling.due.meter_use import KindUse
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.yard_days import Floats
from scheduling.models import DuePoint
from scheduling.queries.machine_use import MachineUse, machine_use

QUANTILES = (0.1, 0.25, 0.5, 0.75, 0.9)
"""Chances that life is at most so much."""

LEVELS = 96
"""Lives at which chances are asked for; quantiles are read off between them."""

REASONS = {
    CleaningReason.IMPOSSIBLE: "no meter can show this",
    CleaningReason.BACKWARDS: "below an earlier reading that is trusted",
    CleaningReason.TOO_FAST: "more use than the days allow, or more than a later reading shows",
    CleaningReason.UNCONFIRMED: "does not fit; a second reading will tell",
}


@dataclass(frozen=True)
class Rejected:
    """A reading that does not count; life: where it would stand on the line."""

    read_at: datetime
    life: float
    value: float
    sentence: str


@dataclass(frozen=True)
class Threshold:
    """A due point on the meter."""

    service: str
    life: float
    state: str
    p50: date | None


@dataclass(frozen=True)
class MeterFan:
    """One machine's use on one kind of meter; times and dates are the yard's own.

    line: (moment, life) of all readings that count; days: today and the 120 days after it;
    quantiles: chance -> life at the end of each of those days; bookings: (first, last, customer).
    """

    kind: str
    units: str
    today: date
    line: list[tuple[datetime, float]]
    rejected: list[Rejected]
    days: list[date]
    quantiles: dict[float, list[float]]
    thresholds: list[Threshold]
    bookings: list[tuple[date, date, str]]
    life_now: float | None
    read_at: datetime | None
    sentence: str


def fan(machine: Machine, kind: str, now: datetime) -> MeterFan | None:
    """Return what the fan is drawn from; None where the machine has no meter of that kind."""
    return fan_of(machine_use(machine, now), kind)


def fan_of(known: MachineUse, kind: str) -> MeterFan | None:
    """Return what the fan of one meter is drawn from; None without a meter of that kind."""
    use = known.uses.get(kind)
    if use is None:
        return None
    today, units = known.today, known.units
    moment = _Moments(today, known.facts)
    line = use.cleaned
    lives = (line.points_life + use.offset[line.machine]).round(3).tolist()
    life = float(use.read_life[0])
    is_read = bool(np.isfinite(life))
    quantiles = _quantiles(use)
    return MeterFan(
        kind=kind,
        units=units,
        today=today,
        line=[(moment.at(day), value) for day, value in zip(line.day, lives, strict=True)]
        if is_read
        else [],
        rejected=_rejected(use, moment),
        days=[today + timedelta(days=ahead) for ahead in range(HORIZON + 1)],
        quantiles=quantiles,
        thresholds=_thresholds(known.machine, kind),
        bookings=[(p.first, p.last, p.customer) for p in known.facts.promises],
        life_now=life if is_read else None,
        read_at=moment.at(float(line.last_day[0])) if is_read else None,
        sentence=_sentence(use, units, today, quantiles),
    )


@dataclass(frozen=True)
class _Moments:
    """Turns days from today into moments of the yard."""

    today: date
    facts: UseFacts

    def at(self, day: float) -> datetime:
        start = datetime.combine(self.today, time(), self.facts.machines.zones[0])
        return start + timedelta(days=float(day))  # wall-clock arithmetic, as days were counted


def _quantiles(use: KindUse) -> dict[float, list[float]]:
    """Return lives by chance for each day, by inverting the chance of having reached a life.

    P(life at the end of day d >= L) is what `due_chance` answers for the threshold L.  The outer
    two are those at which the ranges of dates end (`KindUse.levels`): what is likely to be due
    early is what is likely to have run far.
    """
    start = float(np.nan_to_num(use.last_life[0]))
    age = float(np.nan_to_num(-use.cleaned.last_day[0]))
    most = max(float(use.summary.rate[0]) * (HORIZON + 1 + max(age, 0.0)) * 4.0, 1e-6)
    levels: Floats = most * np.linspace(0.0, 1.0, LEVELS) ** 2
    tasks = DueTasks(np.zeros(LEVELS, dtype=np.int64), levels)
    chance = due_chance(use.lesson.model, use.outlook, tasks, np.arange(HORIZON + 1))
    found = {}
    for quantile in QUANTILES:
        # chances fall along the levels; np.interp wants them rising
        asked = {QUANTILES[0]: use.levels[1], QUANTILES[-1]: use.levels[0]}
        chance_above = asked.get(quantile, 1.0 - quantile)
        above = [np.interp(chance_above, day[::-1], levels[::-1]) for day in chance.T]
        found[quantile] = [round(start + float(value), 3) for value in above]
    return found


def _rejected(use: KindUse, moment: _Moments) -> list[Rejected]:
    """Return readings that do not count, in order of time; what was noted at services is left."""
    meters, cleaned = use.meters, use.cleaned
    rows = np.flatnonzero((meters.key > 0) & ~cleaned.accepted)
    rows = rows[np.argsort(meters.readings.day[rows], kind="stable")]
    return [
        Rejected(
            moment.at(float(meters.readings.day[row])),
            float(meters.life[row]),
            float(meters.readings.value[row]),
            REASONS[CleaningReason(int(cleaned.reason[row]))],
        )
        for row in rows
    ]


def _thresholds(machine: Machine, kind: str) -> list[Threshold]:
    rows = DuePoint.objects.filter(machine=machine, meter_kind=kind, due_life__isnull=False)
    fields = rows.order_by("due_life", "pk").values_list(
        "service__name", "due_life", "state", "p50"
    )
    return [
        Threshold(name, life, state, p50) for name, life, state, p50 in fields if life is not None
    ]


def _sentence(use: KindUse, units: str, today: date, quantiles: dict[float, list[float]]) -> str:
    """Say in one sentence what the drawing shows."""
    kind, last = use.meters.kind, today + timedelta(days=HORIZON)
    low, high = quantiles[0.1][-1], quantiles[0.9][-1]
    spread = f"{show_use(low, kind, units)} to {show_use(high, kind, units)}"
    ahead = f"likely {spread} by {short_date(last, today)}"
    life = float(use.read_life[0])
    if not np.isfinite(life):
        return f"No reading counts yet; {ahead}, as its class does."
    read = today + timedelta(days=int(np.floor(use.cleaned.last_day[0])))
    return f"{show_use(life, kind, units)} of use at {say_date(read, today)}; {ahead}."
