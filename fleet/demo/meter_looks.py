"""When somebody looked at the meters: at the counter, at the bench, on the meter round."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fleet.demo.day_numbers import weekdays_of
from fleet.demo.hire_seasons import SimulatedHire
from fleet.demo.shopwork import SimulatedVisit


@dataclass(frozen=True, order=True)
class MeterLook:
    """One look at a machine's meters: day number, minute of the day, where."""

    day: int
    minute: int
    source: str
    of: int = -1
    """Number of the hire or visit that it belongs to."""


def counter_looks(
    rng: np.random.Generator, hires: Sequence[SimulatedHire], span: range
) -> list[MeterLook]:
    """At check-out in the morning and at return in the afternoon."""
    looks = []
    for n, hire in enumerate(hires):
        out, back = 7 * 60 + 10 + int(rng.integers(0, 75)), 16 * 60 + int(rng.integers(0, 90))
        looks += [MeterLook(hire.first, out, "counter", n)] if hire.first in span else []
        looks += [MeterLook(hire.last, back, "counter", n)] if hire.last in span else []
    return looks


def bench_looks(rng: np.random.Generator, visits: Sequence[SimulatedVisit]) -> list[MeterLook]:
    """Once a visit."""
    return [
        MeterLook(visit.day, 9 * 60 + int(rng.integers(0, 150)), "bench", n)
        for n, visit in enumerate(visits)
    ]


def round_looks(
    rng: np.random.Generator,
    rule: Mapping[str, Any],
    hires: Sequence[SimulatedHire],
    span: range,
    on_ranch: bool,
) -> list[MeterLook]:
    """Each week on the round's weekday, unless it was missed or the machine was out."""
    days = np.arange(span.start, span.stop)
    days = days[weekdays_of(days) == rule["weekday"]]
    days = days[rng.random(len(days)) < rule["kept"]]
    if on_ranch:
        return [MeterLook(int(day), 18 * 60 + int(rng.integers(0, 60)), "round") for day in days]
    for hire in hires:
        days = days[(days < hire.first) | (days > hire.last)]
    return [MeterLook(int(day), 6 * 60 + 30 + int(rng.integers(0, 30)), "round") for day in days]
