"""Seasons that owners state, and the weights that follow for days and machines."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import Q, QuerySet

from fleet.models import SeasonWeight
from scheduling.facts.machine_arrays import MachineArrays
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import Flags, Floats, Ints

MOST_WEIGHT = 5.0
"""Most that seasons may multiply to on one day."""

FIELDS = (
    "reason", "weight", "first_month", "first_day", "last_month", "last_day",
    "yard_id", "machine_class_id", "makeup_id",
)  # fmt: skip


@dataclass(frozen=True)
class StatedSeason:
    """Days of every year, from first to last as 100 x month + day, that weigh so much.

    yard, machine_class, makeup: keys; None for all.
    """

    reason: str
    weight: float
    first: int
    last: int
    yard: int | None = None
    machine_class: int | None = None
    makeup: int | None = None

    def covers(self, day_of_year: Ints) -> Flags:
        """Tell which days (100 x month + day) belong to the season; it may run over new year."""
        after, before = day_of_year >= self.first, day_of_year <= self.last
        return after & before if self.first <= self.last else after | before

    def meant(self, machines: MachineArrays, rows: Ints) -> Flags:
        """Tell which of these machines are meant, shape of rows."""
        told = np.ones(rows.size, dtype=np.bool_)
        for key, column in (
            (self.yard, machines.yard),
            (self.machine_class, machines.machine_class),
            (self.makeup, machines.makeup),
        ):
            if key is not None:
                told &= column[rows] == key
        return told


def load_seasons(scope: Scope) -> list[StatedSeason]:
    """Load the seasons that may concern a shop's machines, with one query."""
    return [
        StatedSeason(reason, weight, 100 * a + b, 100 * c + d, yard, kind, makeup)
        for reason, weight, a, b, c, d, yard, kind, makeup in rows_of(_stated, scope)
    ]


def _stated(scope: Scope) -> QuerySet[SeasonWeight, Any]:
    ours = Q(yard=None) | Q(yard__shop=scope.shop_id)
    return SeasonWeight.objects.filter(ours).order_by("pk").values_list(*FIELDS)


def days_of_year(first: int, count: int) -> Ints:
    """Return 100 x month + day of so many days from a day number on, shape (count,)."""
    day = np.datetime64(first, "D") + np.arange(count)
    month = day.astype("datetime64[M]")
    return (month.astype(np.int64) % 12 + 1) * 100 + (day - month).astype(np.int64) + 1


def season_weights(
    seasons: list[StatedSeason], machines: MachineArrays, rows: Ints, first: int, count: int
) -> Floats | None:
    """Return the weight of so many days, from `first` days after each machine's today on.

    rows: rows in `MachineArrays`, shape (k,).  Shape (k, count), or (1, count) where all are
    alike; None
    where no season means any of them.
    """
    meant = np.array([season.meant(machines, rows) for season in seasons], dtype=np.bool_)
    if not meant.any():
        return None
    # machines with the same seasons and the same today have the same days
    sorts, sort = np.unique(
        np.column_stack([machines.today[rows], *meant]), axis=0, return_inverse=True
    )
    weight = np.ones((len(sorts), count))
    for row, (today, *which) in zip(weight, sorts.tolist(), strict=True):
        day_of_year = days_of_year(today + first, count)
        for season, ours in zip(seasons, which, strict=True):
            if ours:
                row[season.covers(day_of_year)] *= season.weight
    weight = np.minimum(weight, MOST_WEIGHT)
    return weight if len(weight) == 1 else weight[sort.ravel()]
