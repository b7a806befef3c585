"""Meters of the machines of a run: chains of fittings, readings and swaps, one kind at a time.

What a meter showed at a service is a reading like any other, so it is judged with them.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any

import numpy as np
from django.db.models import QuerySet

from fleet.models import Meter, Reading, RecordedMeter
from fleet.queries.standing_readings import standing
from fleet.queries.standing_records import corrected_records
from scheduling.core.usage import Readings, Swaps
from scheduling.facts.fittings import Chain, chain_bases
from scheduling.facts.machine_arrays import MachineArrays
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope, transposed
from scheduling.facts.yard_days import Flags, Floats, Ints, as_stored, local_days, seconds

FITTING_FIELDS = (
    "pk", "machine_id", "kind", "fitted_at", "first_value", "life_at_fitting", "last_value",
)  # fmt: skip

BATCH = 50_000
"""Rows of readings turned into arrays at one go, so that their tuples do not pile up."""


@dataclass(frozen=True)
class ShownValues:
    """What meters showed, in no order; arrays of shape (r,).

    machine: row in `MachineArrays`; day: days from the yard's today; life: by the chain of
    fittings;
    record: key of the service record it was noted at, 0 for a reading; key: of the reading, or 0.
    """

    meter: Ints
    day: Floats
    value: Floats
    sure: Flags
    key: Ints
    record: Ints


@dataclass(frozen=True)
class MeterFacts:
    """k machines with one kind of meter.

    machine: rows in `MachineArrays`, rising, shape (k,); readings and swaps name them by 0..k-1,
    days
    are counted from the yard's today.  The arrays beside `readings` go with its rows (r,):
    life: life by the chain of fittings; sure: odd, and confirmed; key: of the reading, 0 for
    none; record: of the service record at which it was noted, 0 for none.
    base: life at the first fitting, fitted: its day, unread: no meter reading at all, (k,).
    """

    kind: str
    machine: Ints
    readings: Readings
    life: Floats
    sure: Flags
    key: Ints
    record: Ints
    swaps: Swaps
    base: Floats
    fitted: Floats
    unread: Flags


def load_meters(machines: MachineArrays, scope: Scope, now: datetime) -> dict[str, MeterFacts]:
    """Load meters, readings and swaps of all kinds, with three queries."""
    chain = _load_chain(machines, scope)
    shown = _load_shown(machines, chain, scope, now)
    return {kind: _of_kind(kind, chain, shown) for kind in sorted(set(chain.kind.tolist()))}


def _load_chain(machines: MachineArrays, scope: Scope) -> Chain:
    fittings = transposed(rows_of(_fittings, scope), len(FITTING_FIELDS))
    pk, machine, kind, fitted, first, at_fitting, last = fittings
    row, known = machines.rows(machine)
    keep = np.flatnonzero(known)
    own = row[keep]
    stamps = seconds(fitted)[keep]
    values = [_numbers(column)[keep] for column in (first, at_fitting, last)]
    day = local_days(stamps, machines.zone[own], machines.zones) - machines.today[own]
    kinds = np.array(kind, dtype="U8")[keep]
    return chain_bases(np.array(pk, dtype=np.int64)[keep], own, kinds, day, values)


def _fittings(scope: Scope) -> QuerySet[Meter, Any]:
    ours = Meter.objects.filter(scope.on("machine"))
    return ours.order_by("machine_id", "kind", "fitted_at").values_list(*FITTING_FIELDS)


def _numbers(column: tuple[Any, ...]) -> Floats:
    return np.array([np.nan if value is None else value for value in column], dtype=np.float64)


def _load_shown(machines: MachineArrays, chain: Chain, scope: Scope, now: datetime) -> ShownValues:
    """Load standing readings and what was noted in standing service records."""
    read, noted = rows_of(_read, scope, now=now), rows_of(_noted, scope, now=now)
    parts = [_batch(rows, noted=False) for rows in _batches(read)]
    parts += [_batch(rows, noted=True) for rows in _batches(noted)]
    meter, stamp, value, sure, key, record = (
        np.concatenate(column) for column in zip(_batch([], noted=False), *parts, strict=True)
    )
    at, known = chain.rows(meter)
    keep = np.flatnonzero(known)
    own = chain.machine[at[keep]]
    day = local_days(stamp[keep], machines.zone[own], machines.zones) - machines.today[own]
    return ShownValues(at[keep], day, value[keep], sure[keep] > 0, key[keep], record[keep])


def _read(scope: Scope, now: datetime) -> QuerySet[Reading, Any]:
    """Return the standing readings of the scope until now."""
    rows = standing().filter(scope.on("meter__machine"), read_at__lte=now).order_by()
    return rows.values_list("meter_id", as_stored("read_at"), "value", "really_so", "pk")


def _noted(scope: Scope, now: datetime) -> QuerySet[RecordedMeter, Any]:
    """Return what was noted in the standing service records of the scope until now."""
    rows = RecordedMeter.objects.filter(
        scope.on("record__machine"), record__void=False, record__done_at__lte=now
    ).exclude(record_id__in=corrected_records())
    return rows.order_by().values_list(
        "meter_id", as_stored("record__done_at"), "value", "record_id"
    )


def _batches(rows: Iterable[Any]) -> Iterator[list[Any]]:
    rest = iter(rows)
    while batch := list(islice(rest, BATCH)):
        yield batch


def _batch(rows: list[Any], *, noted: bool) -> tuple[Ints, Floats, Floats, Ints, Ints, Ints]:
    """Turn rows into columns: meter, moment, value, sure, key of the reading, of the record."""
    width = 4 if noted else 5
    table = list(zip(*rows, strict=True)) or [()] * width
    meter, value = np.array(table[0], dtype=np.int64), np.array(table[2], dtype=np.float64)
    zeros = np.zeros(meter.size, dtype=np.int64)
    last = np.array(table[-1], dtype=np.int64)
    sure = zeros if noted else np.array(table[3], dtype=np.int64)
    key, record = (zeros, last) if noted else (last, zeros)
    return meter, seconds(table[1]), value, sure, key, record


def _of_kind(kind: str, chain: Chain, shown: ShownValues) -> MeterFacts:
    """Pick one kind out, numbering its machines from 0."""
    fittings = np.flatnonzero(chain.kind == kind)
    machine, local = np.unique(chain.machine[fittings], return_inverse=True)
    number = np.full(chain.kind.size, -1)
    number[fittings] = local
    rows = np.flatnonzero(number[shown.meter] >= 0)
    meter = shown.meter[rows]
    first = fittings[np.searchsorted(local, np.arange(machine.size))]
    usable = np.isfinite(shown.value[rows]) & (shown.value[rows] >= 0)
    unread = np.bincount(number[meter][usable], minlength=machine.size) == 0
    blank = _fittings_as_readings(chain, fittings, local, unread)
    ends = np.zeros(blank.size, dtype=np.int64)
    joined = np.concatenate([meter, blank])
    value = np.concatenate([shown.value[rows], chain.first[blank]])
    day = np.concatenate([shown.day[rows], chain.fitted[blank]])
    return MeterFacts(
        kind=kind,
        machine=machine,
        readings=Readings(number[joined], day, value),
        life=chain.base[joined] + value - chain.first[joined],
        sure=np.concatenate([shown.sure[rows], ends > 0]),
        key=np.concatenate([shown.key[rows], ends]),
        record=np.concatenate([shown.record[rows], ends]),
        swaps=_swaps(chain, fittings, local),
        base=chain.base[first],
        fitted=chain.fitted[first],
        unread=unread,
    )


def _fittings_as_readings(chain: Chain, fittings: Ints, local: Ints, unread: Flags) -> Ints:
    """Return the last fitting of each machine that was never read: it showed its first value."""
    last = np.ones(fittings.size, dtype=np.bool_)
    last[:-1] = local[1:] != local[:-1]
    return fittings[last & unread[local]]


def _swaps(chain: Chain, fittings: Ints, local: Ints) -> Swaps:
    """Return each change from one fitting to the next of the same machine."""
    later = np.flatnonzero(local[1:] == local[:-1]) + 1
    now, before = fittings[later], fittings[later - 1]
    return Swaps(local[later], chain.fitted[now], chain.last[before], chain.first[now])
