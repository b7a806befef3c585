"""Where the machines of the demo stand in the database now: what people did to them counts."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import QuerySet

from fleet.demo.beginnings import paces
from fleet.demo.duepoints import NEVER
from fleet.demo.hire_seasons import SimulatedHire
from fleet.demo.live_machine import StartingPoint, World
from fleet.demo.roster import Unit
from fleet.demo.shopwork import Done
from fleet.demo.simulated_meters import EVENING, SimulatedMeter
from fleet.models import Booking, Machine, Meter, Reading, RecordedMeter, ServiceRecord, Storage
from fleet.queries.meter_lives import life_bases
from fleet.queries.standing_readings import last_readings
from fleet.queries.standing_records import standing_records


@dataclass(frozen=True)
class Stand:
    """One machine as it stands, and the rows that its history goes on from.

    used_from: the first day whose use no reading has seen yet.
    """

    unit: Unit
    machine: Machine
    standing: StartingPoint
    used_from: int
    meters: dict[str, list[Meter]]
    bookings: dict[SimulatedHire, Booking]


@dataclass(frozen=True)
class Pages:
    """Rows of some machines by machine; a few queries however many machines there are."""

    meters: dict[int, list[Meter]]
    bases: dict[int, float]
    last: dict[int, Reading]
    records: dict[int, list[ServiceRecord]]
    bookings: dict[int, list[Booking]]
    storages: dict[int, list[SimulatedHire]]


def _records() -> QuerySet[ServiceRecord]:
    return (
        standing_records()
        .filter(service__isnull=False)
        .select_related("service")
        .prefetch_related("meters__meter")
        .order_by("done_at")
    )


def open_pages(machines: Sequence[Machine], since: date) -> Pages:
    """Load what is known of these machines."""
    ids = [machine.pk for machine in machines]
    lists: list[dict[int, list]] = [defaultdict(list) for _ in range(4)]
    pages = Pages(lists[0], {}, last_readings(ids), *lists[1:])
    every = list(Meter.objects.filter(machine_id__in=ids).order_by("fitted_at"))
    pages.bases.update(life_bases(every))
    for meter in every:
        if meter.removed_at is None:
            pages.meters[meter.machine_id].append(meter)
    for record in _records().filter(machine_id__in=ids):
        pages.records[record.machine_id].append(record)
    standing = Booking.objects.filter(
        machine_id__in=ids, cancelled_at=None, last_day__gte=since
    ).prefetch_related("hand_overs")
    for booking in standing.order_by("first_day"):
        pages.bookings[booking.machine_id].append(booking)
    for stored in Storage.objects.filter(machine_id__in=ids):
        last = stored.last_day.toordinal() if stored.last_day else NEVER
        stay = SimulatedHire(stored.first_day.toordinal(), last, 0)
        pages.storages[stored.machine_id].append(stay)
    return pages


def _life(pages: Pages, meter: Meter) -> float:
    reading = pages.last.get(meter.pk)
    return pages.bases[meter.pk] + (reading.value if reading else meter.first_value)


def _lives_then(pages: Pages, shown: Iterable[RecordedMeter]) -> dict[str, float]:
    return {
        row.meter.kind: row.value + pages.bases[row.meter_id]
        for row in shown
        if row.meter_id in pages.bases
    }


def _done(
    pages: Pages, machine: Machine, lives: dict[str, float], covers: dict[str, set[str]]
) -> dict[str, list[Done]]:
    """Each time of each service, itself or one that covers it, oldest first."""
    done: dict[str, list[Done]] = {}
    for record in pages.records[machine.pk]:
        day = record.done_at.astimezone(machine.yard.zone).toordinal()
        then = lives | _lives_then(pages, record.meters.all())
        code_done = record.service.code if record.service else ""
        for code in covers.get(code_done, {code_done}):
            done.setdefault(code, []).append(Done(day, then))
    return done


def _last_day(pages: Pages, machine: Machine) -> int:
    """The last day of which the machine's book or readings tell."""
    moments = [r.done_at for r in pages.records[machine.pk]]
    moments += [pages.last[m.pk].read_at for m in pages.meters[machine.pk] if m.pk in pages.last]
    return max((at.astimezone(machine.yard.zone).toordinal() for at in moments), default=0)


def _used_from(pages: Pages, machine: Machine, world: World) -> int:
    """The day of the machine's last reading, or the next if its use was over by then.

    Use since the last reading was seen by nobody: it is drawn anew and contradicts nothing.
    """
    reads = [pages.last[m.pk].read_at for m in pages.meters[machine.pk] if m.pk in pages.last]
    if not reads:
        return world.first
    last = max(reads).astimezone(machine.yard.zone)
    evening = last.hour * 60 + last.minute >= EVENING
    return min(last.toordinal() + evening, world.today - 1)


def _dial(meter: Meter, base: float, machine: Machine) -> SimulatedMeter:
    fitted = meter.fitted_at.astimezone(machine.yard.zone)
    return SimulatedMeter(
        meter.kind,
        fitted.toordinal(),
        fitted.hour * 60 + fitted.minute,
        meter.first_value,
        meter.first_value + base,
    )


def stand_of(unit: Unit, machine: Machine, pages: Pages, world: World) -> Stand | None:
    """One machine as it stands; None where it lacks a meter that its kind goes by."""
    meters = {meter.kind: meter for meter in pages.meters[machine.pk]}
    if not set(unit.slot.kinds) <= meters.keys():
        return None
    lives = {kind: _life(pages, meters[kind]) for kind in unit.slot.kinds}
    bookings = {
        SimulatedHire(
            b.first_day.toordinal(),
            b.last_day.toordinal(),
            0,
            b.customer if unit.slot.on_ranch else "",
        ): b
        for b in pages.bookings[machine.pk]
    }
    started = machine.started_on.toordinal() if machine.started_on else world.first - 1
    standing = StartingPoint(
        started=min(started, world.first - 1),
        lives=lives,
        done=_done(pages, machine, lives, dict(world.covers)),
        dials={
            kind: [_dial(meters[kind], pages.bases[meters[kind].pk], machine)]
            for kind in unit.slot.kinds
        },
        hires=tuple(bookings),
        paces=paces(np.random.default_rng([world.seed, unit.index]), unit),
        factor=machine.duty_factor * machine.yard.duty_factor,
        booked_to=world.first,
        away=tuple(pages.storages[machine.pk]),
        act_from=max(world.first, _last_day(pages, machine) + 1),
    )
    fitted = {kind: [meters[kind]] for kind in unit.slot.kinds}
    return Stand(unit, machine, standing, _used_from(pages, machine, world), fitted, bookings)
