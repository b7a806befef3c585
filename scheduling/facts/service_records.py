"""The service book of the machines of a run: standing records and what was measured."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np
from django.db.models import QuerySet

from fleet.models import Measurement, ServiceRecord
from fleet.models.book import numbers_in
from fleet.queries.standing_records import corrected_records, standing_records
from scheduling.facts.machine_arrays import MachineArrays
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope, transposed
from scheduling.facts.yard_days import Floats, Ints, as_stored, local_days, seconds

DONE = "record__done_at"
MEASURED_FIELDS = (
    "record__machine_id", "limit__then_id", DONE, "value",
    "limit__low", "limit__high", "limit__name", "limit__unit", "place",
)  # fmt: skip


@dataclass(frozen=True)
class RecordArrays:
    """Records that no later one corrects and that are not void; arrays of shape (b,).

    machine: row in `MachineArrays`; day: local days since 1970-01-01, with the time of day.
    left_out: row here -> keys of services that its service covers and that were not done.
    """

    key: Ints
    machine: Ints
    service: Ints
    day: Floats
    left_out: dict[int, frozenset[int]] = field(default_factory=dict)


@dataclass(frozen=True)
class Measured:
    """Values measured against limits that call for a service; arrays of shape (v,), by time.

    low, high: bounds, NaN for none; then: the service that the limit calls for; day: local days
    since 1970-01-01; names: what was measured, with its place, units: in which unit.  series: the
    same number for one quantity at one place in one unit, whatever service measured it.
    """

    machine: Ints
    series: Ints
    then: Ints
    day: Floats
    value: Floats
    low: Floats
    high: Floats
    names: tuple[str, ...]
    units: tuple[str, ...]


def load_book(machines: MachineArrays, scope: Scope, now: datetime) -> RecordArrays:
    """Load what was done, with one query; repairs without a service are left out."""
    key, machine, service, done, without = transposed(rows_of(_records, scope, now=now), 5)
    row, known = machines.rows(machine)
    keep = np.flatnonzero(known)
    own = row[keep]
    day = local_days(seconds(done)[keep], machines.zone[own], machines.zones)
    keys, services = (np.array(column, dtype=np.int64)[keep] for column in (key, service))
    left_out = {row: numbers_in(without[at]) for row, at in enumerate(keep) if without[at]}
    return RecordArrays(keys, own, services, day, left_out)


def _records(scope: Scope, now: datetime) -> QuerySet[ServiceRecord, Any]:
    rows = standing_records().filter(
        scope.on("machine"), done_at__lte=now, service__isnull=False
    ).order_by("machine_id", "done_at", "pk")  # fmt: skip
    return rows.values_list("pk", "machine_id", "service_id", as_stored("done_at"), "left_out")


def load_measured(machines: MachineArrays, scope: Scope, now: datetime) -> Measured:
    """Load what was measured against limits that call for a service, with one query."""
    found = transposed(rows_of(_values, scope, now=now), len(MEASURED_FIELDS))
    machine, then, done, value, low, high, name, unit, place = found
    row, known = machines.rows(machine)
    keep = np.flatnonzero(known)
    own = row[keep]
    day = local_days(seconds(done)[keep], machines.zone[own], machines.zones)
    calls = np.array(then, dtype=np.int64)[keep]
    real = [_numbers(column)[keep] for column in (value, low, high)]
    units = tuple(unit[i] for i in keep)
    names = tuple(f"{name[i]}, {place[i]}" if place[i] else name[i] for i in keep)
    series = _series(zip(names, units, strict=True))
    return Measured(own, series, calls, day, real[0], real[1], real[2], names, units)


def _series(named: Iterable[tuple[str, str]]) -> Ints:
    """Return a number for each quantity at its place, in its unit."""
    numbers: dict[tuple[str, str], int] = {}
    found = [numbers.setdefault((name.lower(), unit.lower()), len(numbers)) for name, unit in named]
    return np.array(found, dtype=np.int64)


def _values(scope: Scope, now: datetime) -> QuerySet[Measurement, Any]:
    measured = Measurement.objects.filter(
        scope.on("record__machine"), record__void=False, record__done_at__lte=now,
        limit__then__isnull=False,
    ).exclude(record_id__in=corrected_records())  # fmt: skip
    rows = measured.order_by("record__machine_id", "record__done_at", "pk")
    return rows.values_list(
        *(as_stored(name) if name == DONE else name for name in MEASURED_FIELDS)
    )


def _numbers(column: tuple[float | None, ...]) -> Floats:
    return np.array([np.nan if value is None else value for value in column], dtype=np.float64)
