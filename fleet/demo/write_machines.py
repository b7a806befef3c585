"""Machines of the demo with their meters, alterations, storage and own intervals, as facts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fleet.demo import serials
from fleet.demo.day_numbers import Clock
from fleet.demo.live_machine import SimulatedPast
from fleet.demo.roster import Unit
from fleet.demo.write_makeups import interval
from fleet.demo.write_places import DemoShop
from fleet.models import (
    Alteration,
    Interval,
    Machine,
    MakeUp,
    Meter,
    Service,
    Storage,
)


@dataclass(frozen=True)
class DemoCatalogue:
    """What machines are written against: make-ups by model, services by code, shops by number."""

    make_ups: dict[str, MakeUp]
    services: dict[str, Service]
    places: dict[int, DemoShop]
    clock: Clock
    today: date
    rules: dict[str, list[dict]]


def _year(unit: Unit, started: date) -> int:
    low, high = unit.slot.make_up["years"]
    return int(np.clip(started.year, low, high))


def _serial(rng: np.random.Generator, unit: Unit, year: int) -> str:
    if unit.story("unreadable"):
        return ""
    if not unit.slot.machine_class["road_vehicle"]:
        return serials.serial(rng, unit.slot.make_up["maker"])
    right = serials.vin(rng, year)
    return serials.wrong_vin(right) if unit.story("old trailer") else right


def _machine(rng: np.random.Generator, history: SimulatedPast, shelf: DemoCatalogue) -> Machine:
    unit = history.unit
    started = date.fromordinal(history.standing.started)
    dusty = unit.story("dusty")
    year = _year(unit, started)
    notes = [s["note"] for s in unit.stories if "note" in s]
    return Machine(
        tag=unit.tag,
        serial=_serial(rng, unit, year),
        serial_unreadable=bool(unit.story("unreadable")),
        makeup=shelf.make_ups[unit.slot.make_up["model"]],
        yard=shelf.places[unit.shop].yards[unit.slot.yard],
        year=year,
        started_on=None if unit.story("unknown start") else started,
        duty_factor=dusty["duty_factor"] if dusty else 1.0,
        notes=" ".join(notes),
    )


def _meters(history: SimulatedPast, machine: Machine, shelf: DemoCatalogue) -> list[Meter]:
    limits = {m["kind"]: m.get("rolls_over_at") for m in history.unit.slot.make_up["meters"]}
    return [
        Meter(
            machine=machine,
            kind=kind,
            fitted_at=shelf.clock.at(dial.day, dial.minute),
            first_value=dial.first_value,
            removed_at=shelf.clock.at(*dial.end) if dial.end else None,
            last_value=dial.last_value,
            ending=dial.ending,
            rolls_over_at=limits[kind],
        )
        for kind, dials in history.dials.items()
        for dial in dials
    ]


def _tell_story(unit: Unit, machine: Machine, shelf: DemoCatalogue) -> None:
    """What a story adds to a machine beside its history."""
    place = shelf.places[unit.shop]
    if altered := unit.story("altered"):
        Alteration.objects.create(
            machine=machine,
            text=altered["text"],
            slows=shelf.services[altered["slows"]],
            extra_minutes=altered["extra_minutes"],
            fitted_on=shelf.today - timedelta(days=410),
            noted_by=place.mechanics[0],
            noted_at=shelf.clock.at(shelf.today.toordinal() - 400, 600),
        )
    if own := unit.story("own interval"):
        rules = shelf.rules[unit.slot.make_up["rules"]]
        rule = next(r for r in rules if r["service"] == own["service"])
        Interval.objects.bulk_create(
            [interval(rule | {"every": own["every"]}, shelf.services, machine=machine)]
        )
    if stored := unit.story("stored"):
        first = shelf.today + timedelta(days=stored["from_in_days"])
        Storage.objects.create(
            machine=machine,
            first_day=first,
            last_day=first + timedelta(days=stored["days"]),
            reason=stored["reason"],
        )


def write_machines(
    rng: np.random.Generator, histories: Sequence[SimulatedPast], shelf: DemoCatalogue
) -> tuple[list[Machine], list[dict[str, list[Meter]]]]:
    """Write machines and their meters; meters by kind, in order of fitting."""
    machines = Machine.objects.bulk_create(_machine(rng, h, shelf) for h in histories)
    per_machine = [_meters(h, m, shelf) for h, m in zip(histories, machines, strict=True)]
    Meter.objects.bulk_create([meter for meters in per_machine for meter in meters])
    for history, machine in zip(histories, machines, strict=True):
        if history.unit.stories:
            _tell_story(history.unit, machine, shelf)
    by_kind: list[dict[str, list[Meter]]] = []
    for meters in per_machine:
        by_kind.append({})
        for meter in meters:
            by_kind[-1].setdefault(meter.kind, []).append(meter)
    return machines, by_kind
