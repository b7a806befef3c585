"""What people promised or ordered: bookings, storage, holds, findings that need something."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
from django.db.models import Q, QuerySet

from fleet.models import Booking, Finding, HandOver, Hold, Storage
from scheduling.facts.machine_arrays import MachineArrays
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope, transposed
from scheduling.facts.yard_days import day_number, local_days, zone_of

LOOK_BACK = 100
"""Days of past bookings that are loaded; the share on hire is counted over 90."""


@dataclass(frozen=True)
class BookedDays:
    """One booking as it stands: with its real days once the machine has gone out or come back.

    hours_a_day: how long it is to run a day, as the customer says.
    """

    key: int
    machine: int
    first: date
    last: date
    customer: str
    out: bool
    back: bool
    hours_a_day: float | None = None


@dataclass(frozen=True)
class OpenHold:
    """One hold that is not released."""

    key: int
    machine: int
    since: date
    by: str
    reason: str


@dataclass(frozen=True)
class Call:
    """One finding, not settled, that calls for a service; seen: local day, with the time."""

    key: int
    machine: int
    service: int
    seen: float
    text: str


def load_promises(machines: MachineArrays, scope: Scope, now: datetime) -> list[BookedDays]:
    """Load bookings of the recent past and to come, with two queries."""
    if not len(machines):
        return []
    since = machines.day(int(np.argmin(machines.today)), -LOOK_BACK)
    handed = rows_of(_handed, scope, since=since, now=now)
    moved = {(booking, direction): at for booking, direction, at in handed}
    rows = list(rows_of(_booked, scope, since=since, now=now))
    at, known = machines.rows(tuple(row[1] for row in rows))
    return [
        _promise(row, int(i), machines, moved)
        for row, i, ours in zip(rows, at, known, strict=True)
        if ours
    ]


def _booked(scope: Scope, since: date, now: datetime) -> QuerySet[Booking, Any]:
    rows = Booking.objects.filter(
        scope.on("machine"), cancelled_at=None, last_day__gte=since, made_at__lte=now
    ).order_by("machine_id", "first_day", "pk")
    return rows.values_list("pk", "machine_id", "first_day", "last_day", "customer", "hours_a_day")


def _handed(scope: Scope, since: date, now: datetime) -> QuerySet[HandOver, Any]:
    rows = HandOver.objects.filter(
        scope.on("booking__machine"), booking__last_day__gte=since, at__lte=now
    )
    return rows.order_by().values_list("booking_id", "direction", "at")


def _promise(
    row: tuple[Any, ...],
    machine: int,
    machines: MachineArrays,
    moved: dict[tuple[int, str], datetime],
) -> BookedDays:
    """Let the real return end a booking early, and a machine that is late stay out till today."""
    key, _, first, last, customer, hours = row
    zone = machines.zones[machines.zone[machine]]
    out = (key, HandOver.Direction.OUT) in moved
    back = moved.get((key, HandOver.Direction.BACK))
    if back is not None:
        last = max(first, min(last, back.astimezone(zone).date()))
    elif out:
        last = max(last, machines.day(machine))
    return BookedDays(
        key, machine, first, last, customer, out, back is not None, None if back else hours
    )


def load_storage(machines: MachineArrays, scope: Scope) -> list[tuple[int, int, int | None]]:
    """Load times in storage, as machine row, first and last day number (None: open)."""
    machine, first, last = transposed(rows_of(_stored, scope), 3)
    at, known = machines.rows(machine)
    return [
        (int(i), day_number(a), None if b is None else day_number(b))
        for i, ours, a, b in zip(at, known, first, last, strict=True)
        if ours
    ]


def _stored(scope: Scope) -> QuerySet[Storage, Any]:
    rows = Storage.objects.filter(scope.on("machine")).order_by("pk")
    return rows.values_list("machine_id", "first_day", "last_day")


def load_holds(machines: MachineArrays, scope: Scope, now: datetime) -> list[OpenHold]:
    """Load holds that nobody has released, oldest first, with one query."""
    rows = list(rows_of(_held, scope, now=now))
    at, known = machines.rows(tuple(row[1] for row in rows))
    return [_hold(row, int(i)) for row, i, ours in zip(rows, at, known, strict=True) if ours]


def _held(scope: Scope, now: datetime) -> QuerySet[Hold, Any]:
    rows = (
        Hold.objects.filter(scope.on("machine"), placed_at__lte=now)
        .filter(Q(released_at=None) | Q(released_at__gt=now))
        .order_by("placed_at", "pk")
    )
    return rows.values_list(
        "pk", "machine_id", "placed_at", "placed_by__first_name", "placed_by__last_name",
        "placed_by__username", "reason", "machine__yard__time_zone",
    )  # fmt: skip


def _hold(row: tuple[Any, ...], machine: int) -> OpenHold:
    key, _, placed, first, last, user, reason, zone = row
    since = placed.astimezone(zone_of(zone)).date()
    return OpenHold(key, machine, since, f"{first} {last}".strip() or user, reason)


def load_calls(machines: MachineArrays, scope: Scope, now: datetime) -> list[Call]:
    """Load findings that call for a service and are not settled, oldest first."""
    rows = list(rows_of(_called, scope, now=now))
    at, known = machines.rows(tuple(row[1] for row in rows))
    return [
        Call(key, int(i), service, _local(seen, machines, int(i)), text)
        for (key, _, service, seen, text), i, ours in zip(rows, at, known, strict=True)
        if ours
    ]


def _called(scope: Scope, now: datetime) -> QuerySet[Finding, Any]:
    rows = (
        Finding.objects.filter(scope.on("machine"), seen_at__lte=now, calls_for__isnull=False)
        .filter(Q(settled_at=None) | Q(settled_at__gt=now))
        .order_by("seen_at", "pk")
    )
    return rows.values_list("pk", "machine_id", "calls_for_id", "seen_at", "text")


def _local(moment: datetime, machines: MachineArrays, machine: int) -> float:
    """Return a moment as local days since 1970-01-01 of a machine's yard."""
    zone = machines.zone[[machine]]
    return float(local_days(np.array([moment.timestamp()]), zone, machines.zones)[0])
