"""Invented fleets of the kinds that a small shop may own, with what a shop would know of them.

All numbers are made up here; nothing is taken from a real fleet. A fleet is lived day by day, read
once a week or so, and asked on one day when services fall due. Each kind says how its machines
run:

    steady         each at its own pace, the busiest several times as much as the idlest
    alike          all at nearly the same pace, within a few percent
    ranch          hardly in winter and much in summer, read for 14 to 24 months
    unseen summer  the same, read from autumn to spring alone
    bursts         out for a few days, then idle for weeks
    few readings   each at its own pace, read two to four times so far
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np

from tests.benchmarks.forecast_data import DailyUse
from tests.benchmarks.forecast_protocol import CAP, LADDER, Machine, Task

BEYOND = CAP + 1
"""Days lived after the day of the question."""

MONTHS = np.array([0.15, 0.15, 0.3, 0.7, 1.4, 2.1, 2.4, 2.1, 1.4, 0.8, 0.35, 0.15])
"""Use of a ranch's machine by month, January first, beside its mean."""

Rng = np.random.Generator
Daily = np.ndarray


@dataclass(frozen=True)
class OddFleet:
    """A fleet on the day of the question: hours run by day, shape (m, days), and what is asked."""

    use: DailyUse
    today: int
    tasks: list[Task]
    known: dict[str, Machine]


def _paces(m: int, rng: Rng, spread: float) -> np.ndarray:
    return 4.0 * np.exp(spread * rng.standard_normal((m, 1)))


def _uneven(mean: Daily, rng: Rng, variation: float) -> Daily:
    """Vary each day by itself; variation: standard deviation over the mean."""
    shape = 1 / variation**2
    return np.minimum(mean * rng.gamma(shape, 1 / shape, mean.shape), 24.0)


def steady(m: int, first: int, days: int, rng: Rng) -> Daily:
    """Return hours by day of machines that each keep a pace of their own."""
    return _uneven(np.broadcast_to(_paces(m, rng, 0.6), (m, days)), rng, 0.5)


def alike(m: int, first: int, days: int, rng: Rng) -> Daily:
    """Return hours by day of machines that all keep nearly one pace."""
    return _uneven(np.broadcast_to(_paces(m, rng, 0.03), (m, days)), rng, 0.15)


def seasonal(m: int, first: int, days: int, rng: Rng) -> Daily:
    """Return hours by day of machines whose work comes with the summer."""
    month = (first + np.arange(days)).astype("datetime64[D]").astype("datetime64[M]")
    weight = MONTHS[month.astype(int) % 12] ** rng.uniform(0.8, 1.2, (m, 1))
    return _uneven(_paces(m, rng, 0.4) * weight * 0.6, rng, 0.8)


def bursts(m: int, first: int, days: int, rng: Rng) -> Daily:
    """Return hours by day of machines that go out for days and stand for weeks."""
    out = np.zeros((m, days))
    for row in out:
        day = rng.exponential(20)
        while day < days:
            length = 1 + rng.exponential(4)
            row[int(day) : int(day + length)] = 1.0
            day += length + rng.exponential(20)
    return _uneven(out * _paces(m, rng, 0.3) * 1.5, rng, 0.4)


@dataclass(frozen=True)
class Kind:
    """How a kind of fleet runs, for how long it was read, and from which month on (None: any)."""

    live: Callable[[int, int, int, Rng], Daily]
    history: tuple[int, int]
    from_month: int | None = None
    looks: int | None = None


KINDS = {
    "steady": Kind(steady, (365, 365)),
    "alike": Kind(alike, (365, 365)),
    "ranch": Kind(seasonal, (430, 730)),
    "unseen summer": Kind(seasonal, (180, 260), from_month=9),
    "bursts": Kind(bursts, (365, 365)),
    "few readings": Kind(steady, (60, 60), looks=4),
}


def odd_fleet(name: str, m: int, seed: int) -> OddFleet:
    """Make up a fleet of m machines of one kind, read it, and ask three services of each."""
    kind = KINDS[name]
    rng = np.random.default_rng([list(KINDS).index(name), m, seed])
    today = int(rng.integers(kind.history[0], kind.history[1] + 1))
    month = kind.from_month or int(rng.integers(1, 13))
    first = date(2019, month, int(rng.integers(1, 29)))
    number = (first - date(1970, 1, 1)).days
    lived = kind.live(m, number, today + BEYOND, rng)
    use = DailyUse([f"M{i:03}" for i in range(m)], ["A"] * m, lived, first)
    known, offset = {}, rng.uniform(0, 3000, m)
    for i, name_of in enumerate(use.names):
        known[name_of] = _read(use, i, (today, offset[i]), kind.looks, rng)
    return OddFleet(use, today, _ask(use, today, known, rng), known)


def _read(use: DailyUse, i: int, start: tuple[int, float], looks: int | None, rng: Rng) -> Machine:
    """Read a meter once a week or so, at 07:00, cut to a tenth of an hour."""
    today, offset = start
    days = np.cumsum(rng.integers(5, 10, today // 5 + 1))
    days = np.r_[0, days[days < today]]
    if looks is not None:
        days = np.sort(rng.choice(days, min(int(rng.integers(2, looks + 1)), days.size), False))
    shown = np.floor((use.life[i, days] + offset) * 10 + 1e-6) / 10
    moments = [use.moment(float(day) + 7 / 24) for day in days]
    return Machine(use.names[i], "A", list(zip(moments, shown.tolist(), strict=True)), [])


def _ask(use: DailyUse, today: int, known: dict[str, Machine], rng: Rng) -> list[Task]:
    """Ask of each machine when 5 to 100 % of 30, 60 and 100 days of the fleet's use are run."""
    pace = float(np.median(use.life[:, today] / today))
    tasks = []
    for i, machine in enumerate(known.values()):
        last = (machine.readings[-1][0] - use.moment(0)).days
        for days in (30, 60, 100):
            interval = LADDER[np.argmin(np.abs(np.log(LADDER / (pace * days))))]
            left = round(interval * float(rng.uniform(0.05, 1.0)), 1)
            due = machine.readings[-1][1] + left
            reached = np.flatnonzero(use.life[i, last + 1 :] >= use.life[i, last] + left)
            day = last + int(reached[0]) - today if reached.size else CAP
            truth = int(np.clip(day, 0, CAP))
            tasks.append(
                Task(machine.id, "A", machine.readings, [], use.moment(today), due, None, truth, 0)
            )
    return tasks
