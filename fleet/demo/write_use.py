"""What happened to the machines of the demo, as facts: bookings, readings, the service book."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import numpy as np

from fleet.actions.keep_times import give_times
from fleet.demo.hire_seasons import SimulatedHire
from fleet.demo.ledger import Ledger
from fleet.demo.live_machine import SimulatedPast
from fleet.demo.meter_looks import MeterLook
from fleet.demo.simulated_meters import dial_at
from fleet.demo.typed import RefusedSlip, TypedMeters
from fleet.demo.write_machines import DemoCatalogue
from fleet.demo.write_places import DemoShop
from fleet.models import (
    Booking,
    HandOver,
    Hire,
    Machine,
    Meter,
    Person,
    Reading,
    ReadingToMend,
    RecordedMeter,
    Service,
    ServiceRecord,
)
from fleet.quantities import unit_size
from fleet.walk_round_library import kind_of_class

WALKED_DAYS = 90
"""Walk-rounds older than this were kept on paper."""


def _in_order(machine: Machine) -> dict[str, bool]:
    """Return the points of the machine's class, each in order."""
    points = kind_of_class(machine.makeup.machine_class.name).points
    return dict.fromkeys((point.words for point in points), True)


@dataclass(frozen=True)
class Scribe:
    """One machine about to be written down: its rows so far, its history, its shop."""

    rng: np.random.Generator
    history: SimulatedPast
    machine: Machine
    meters: dict[str, list[Meter]]
    place: DemoShop
    shelf: DemoCatalogue
    customers: Sequence[str]

    def moment(self, look: MeterLook) -> datetime:
        """The moment of a look."""
        return self.shelf.clock.at(look.day, look.minute)

    def reader(self, look: MeterLook) -> Person:
        """Who looked: the desk at the counter, a mechanic at the bench, someone on the round."""
        if look.source == "counter":
            return self.place.desk
        if look.source == "round" and self.history.unit.slot.on_ranch:
            return self.place.manager
        return self.place.mechanics[look.day % len(self.place.mechanics)]


def _value(scribe: Scribe, hire: SimulatedHire) -> Decimal | None:
    """What a hire brings: the day rate, less for weeks and months (invented)."""
    if hire.job:
        return None
    rate = float(scribe.history.unit.slot.machine_class["day_rate"])
    off = 1.0 if hire.length < 7 else 0.72 if hire.length < 28 else 0.55
    return Decimal(round(rate * hire.length * off))


def write_bookings(scribe: Scribe, ledger: Ledger, hires: Sequence[SimulatedHire]) -> list[Booking]:
    """A booking for every hire and ranch job."""
    names = scribe.rng.integers(0, len(scribe.customers), len(hires))
    today = scribe.shelf.today.toordinal()
    rows = [
        give_times(
            Booking(
                machine=scribe.machine,
                first_day=date.fromordinal(hire.first),
                last_day=date.fromordinal(hire.last),
                customer=hire.job.capitalize() or scribe.customers[n],
                value=_value(scribe, hire),
                made_at=scribe.shelf.clock.at(min(hire.made, today - 1), 540 + int(n) * 13),
                made_by=scribe.place.desk,
            )
        )
        for hire, n in zip(hires, names, strict=True)
    ]
    for row, hire in zip(rows, hires, strict=True):
        if hire.job:
            row.hire = Hire(
                in_house=True, purpose=row.customer, made_at=row.made_at, made_by=row.made_by
            )
    ledger.bookings += rows
    return rows


def write_readings(
    scribe: Scribe, ledger: Ledger, sheet: TypedMeters
) -> dict[MeterLook, list[Reading]]:
    """Readings and their corrections; by the look at which they were taken."""
    by_look: dict[MeterLook, list[Reading]] = {}
    wrong: dict[tuple[str, datetime], Reading] = {}
    for typed in sheet.taken:
        row = Reading(
            meter=scribe.meters[typed.kind][typed.dial],
            read_at=typed.at,
            value=typed.value,
            source=typed.look.source,
            read_by=scribe.reader(typed.look),
            entered_at=typed.entered,
        )
        if typed.corrects:
            row.corrects = wrong[typed.kind, typed.corrects]
            row.note = "mistyped"
            ledger.corrections.append(row)
            continue
        ledger.readings.append(row)
        wrong[typed.kind, typed.at] = row
        by_look.setdefault(typed.look, []).append(row)
    for refused in sheet.refused:
        right = wrong.get((refused.kind, refused.mended_at)) if refused.mended_at else None
        ledger.to_mend.append(_to_mend(scribe, refused, right))
    return by_look


def _to_mend(scribe: Scribe, refused: RefusedSlip, right: Reading | None) -> ReadingToMend:
    tag, yard = scribe.machine.tag, scribe.machine.yard
    local = f"{refused.at.astimezone(yard.zone):%Y-%m-%d %H:%M}"
    value = f"{refused.value / unit_size(refused.kind, yard.units):.1f}"
    raw = f"{tag};{refused.kind};{local};{value}"
    by = scribe.reader(refused.look)
    entered = refused.at + timedelta(minutes=3)
    return ReadingToMend(
        fingerprint=hashlib.sha256(raw.encode()).hexdigest(),
        machine_text=tag,
        meter_text=refused.kind,
        read_at_text=local,
        value_text=value,
        raw=raw,
        source=refused.look.source,
        reason=refused.verdict.reason,
        sentence=refused.verdict.sentence,
        machine=scribe.machine,
        entered_by=by,
        entered_at=entered,
        mended_at=entered + timedelta(minutes=2) if right else None,
        mended_by=by if right else None,
        mended_as=right,
    )


def write_hand_overs(
    scribe: Scribe,
    ledger: Ledger,
    bookings: Sequence[Booking],
    readings: dict[MeterLook, list[Reading]],
) -> None:
    """Check-outs and returns, with the readings taken at them."""
    in_order = _in_order(scribe.machine)
    since = scribe.shelf.today.toordinal() - WALKED_DAYS
    for look in scribe.history.looks:
        if look.source != "counter":
            continue
        booking = bookings[look.of]
        out = look.minute < 12 * 60
        row = HandOver(
            booking=booking,
            direction=HandOver.Direction.OUT if out else HandOver.Direction.BACK,
            at=scribe.moment(look),
            by=scribe.place.desk,
            walk_round=in_order if look.day >= since else {},
        )
        if not out:
            booking.ends_at = max(booking.starts_at, row.at)
            if booking.pk:
                booking.save(update_fields=["ends_at"])
        ledger.hand_overs.append(row)
        ledger.shown += [(row, reading) for reading in readings.get(look, [])]


def _shown(scribe: Scribe, kind: str, day: int, minute: int, life: float) -> tuple[Meter, float]:
    dials = scribe.history.dials[kind]
    n = dial_at(dials, day, minute)
    return scribe.meters[kind][n], dials[n].shown(life)


def _record(
    scribe: Scribe, ledger: Ledger, code: str, at: tuple[int, int], lives: dict[str, float]
) -> ServiceRecord:
    service: Service = scribe.shelf.services[code]
    day, minute = at
    rough = float(scribe.rng.normal(1.0, 0.12))
    skill = service.skill.name if service.skill else "general"
    by = scribe.place.mechanic(skill, day + scribe.history.unit.index)
    done = scribe.shelf.clock.at(day, minute)
    record = ServiceRecord(
        machine=scribe.machine,
        service=service,
        done_at=done,
        done_by=by,
        minutes=max(5, round(service.minutes * rough / 5) * 5),
        cost=Decimal(round(service.value * max(0.5, rough), 2)).quantize(Decimal("0.01")),
        entered_by=by,
        entered_at=done + timedelta(minutes=20),
    )
    ledger.records.append(record)
    for kind, life in lives.items():
        meter, value = _shown(scribe, kind, day, minute, life)
        ledger.meters.append(RecordedMeter(record=record, meter=meter, value=max(0.0, value)))
    return record


def write_book(scribe: Scribe, ledger: Ledger) -> list[tuple[Any, ServiceRecord]]:
    """The service book: what was done before, and every visit since; (look, record) of visits."""
    history = scribe.history
    for code, known in history.standing.done.items():
        for done in known:
            _record(scribe, ledger, code, (done.day, 600), dict(done.lives))
    bench = {look.of: look for look in history.looks if look.source == "bench"}
    written = []
    for n, visit in enumerate(history.visits):
        look = bench[n]
        lives = {kind: history.life(kind, look.day, look.minute) for kind in history.dials}
        for k, code in enumerate(visit.services):
            at = (look.day, look.minute + k)
            written.append((look, _record(scribe, ledger, code, at, lives)))
    return written
