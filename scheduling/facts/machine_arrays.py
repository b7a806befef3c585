"""The machines of a run, in arrays, with what hangs on each: yard, class, duty, start."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from django.db.models import QuerySet

from fleet.models import Machine
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import (
    Days,
    Flags,
    Floats,
    Ints,
    as_days,
    day_number,
    from_number,
    zone_of,
)

FIELDS = (
    "pk", "tag", "makeup_id", "makeup__machine_class_id", "yard_id", "yard__time_zone",
    "yard__units", "yard__duty_factor", "duty_factor", "started_on", "retired_on",
    "yard__shop__look_ahead_days",
)  # fmt: skip


@dataclass(frozen=True)
class MachineArrays:
    """n machines in the order of their keys; arrays of shape (n,).

    duty: factor on meter intervals, machine x yard; started: first day of work, NaT if unknown;
    today: the yard's own day, days since 1970-01-01; zone: index into `zones`.
    """

    ids: Ints
    tags: tuple[str, ...]
    makeup: Ints
    machine_class: Ints
    yard: Ints
    zone: Ints
    zones: tuple[ZoneInfo, ...]
    units: tuple[str, ...]
    duty: Floats
    started: Days
    today: Ints
    look_ahead: int

    def __len__(self) -> int:
        return len(self.tags)

    @property
    def index(self) -> dict[int, int]:
        """Return where each machine's key stands."""
        return {pk: i for i, pk in enumerate(self.ids.tolist())}

    def day(self, machine: int, offset: float = 0) -> date:
        """Return a machine's today, or the day `offset` days after it."""
        return from_number(self.today[machine] + offset)

    def rows(self, keys: tuple[int, ...]) -> tuple[Ints, Flags]:
        """Return the row of each machine key, and which of them are machines of this run."""
        sought = np.asarray(keys, dtype=np.int64)
        at = np.minimum(np.searchsorted(self.ids, sought), max(len(self) - 1, 0))
        known = self.ids[at] == sought if len(self) else np.zeros(sought.size, dtype=np.bool_)
        return at, known


def load_machines(scope: Scope, now: datetime) -> MachineArrays:
    """Load the machines of a scope that are not retired on their yard's day of `now`."""
    table = [row for row in rows_of(_rows, scope) if not _retired(row, now)]
    ids, tags, makeup, kind, yard, zone, units, of_yard, own, started, _, look_ahead = (
        zip(*table, strict=True) if table else [()] * len(FIELDS)
    )
    names = sorted(set(zone))
    zones = tuple(zone_of(name) for name in names)
    dates = {name: day_number(now.astimezone(zone_of(name)).date()) for name in names}
    return MachineArrays(
        ids=np.array(ids, dtype=np.int64),
        tags=tuple(tags),
        makeup=np.array(makeup, dtype=np.int64),
        machine_class=np.array(kind, dtype=np.int64),
        yard=np.array(yard, dtype=np.int64),
        zone=np.array([names.index(name) for name in zone], dtype=np.int64),
        zones=zones,
        units=tuple(units),
        duty=np.array(of_yard, dtype=np.float64) * np.array(own, dtype=np.float64),
        started=as_days(started),
        today=np.array([dates[name] for name in zone], dtype=np.int64),
        look_ahead=max(look_ahead, default=14),
    )


def _rows(scope: Scope) -> QuerySet[Machine, Any]:
    return Machine.objects.filter(scope.machines()).order_by("pk").values_list(*FIELDS)


def _retired(row: tuple[object, ...], now: datetime) -> bool:
    retired = row[FIELDS.index("retired_on")]
    zone = zone_of(str(row[FIELDS.index("yard__time_zone")]))
    return isinstance(retired, date) and retired <= now.astimezone(zone).date()
