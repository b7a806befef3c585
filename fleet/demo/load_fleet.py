"""Load the demo fleet into an empty database: all of it, or nothing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from dateutil.relativedelta import relativedelta
from django.db import transaction

from fleet.demo.day_numbers import Clock, holidays
from fleet.demo.ledger import Ledger
from fleet.demo.live_machine import World
from fleet.demo.roster import MACHINES_A_SHOP, Unit, roster
from fleet.demo.scenario import Scenario, scenario, zone
from fleet.demo.stories import tell
from fleet.demo.typed import Desk, fill_sheet
from fleet.demo.write_capacity import write_capacity
from fleet.demo.write_findings import write_calls, write_findings, write_hold, write_measurements
from fleet.demo.write_library import take_for_occasions, write_copies, write_manuals
from fleet.demo.write_lists import DAYS_KEPT, ListTelling, write_lists
from fleet.demo.write_machines import DemoCatalogue, write_machines
from fleet.demo.write_makeups import write_make_ups, write_parts
from fleet.demo.write_places import MACHINES_A_CREW, write_place
from fleet.demo.write_seasons import write_seasons
from fleet.demo.write_services import write_services
from fleet.demo.write_stock import write_stock
from fleet.demo.write_use import (
    Scribe,
    write_book,
    write_bookings,
    write_hand_overs,
    write_readings,
)
from fleet.models import DemoMark, Limit, Machine, Service

MACHINES_AT_ONCE = 200
"""Machines lived through and written in one batch; bounds the memory."""

Tell = Callable[[int, int], None]
"""Called with machines done and machines in all."""


class NotEmptyError(Exception):
    """The database holds machines that are not of the demo."""


@dataclass(frozen=True)
class Wanted:
    """Which demo: how many machines (None: the county whole), which seed, which today."""

    today: date
    seed: int = 7
    machines: int | None = None


def world_of(told: Scenario, today: date, seed: int, first: date | None = None) -> World:
    """The days, rules and open days of the demo; first: else eighteen months back."""
    begin = first or today - relativedelta(months=told["months_of_history"])
    closed = holidays(told["holidays"], begin, today)
    return World(
        first=begin.toordinal(),
        today=today.toordinal(),
        seed=seed,
        covers=told.covers(),
        rules=told["rules"],
        rounds={yard["key"]: yard["round"] for yard in told["yards"]},
        closed=frozenset(day.toordinal() for day in closed),
        duty={yard["key"]: yard["duty_factor"] for yard in told["yards"]},
    )


def _write_shelf(told: Scenario, units: Sequence[Unit], world: World, today: date) -> DemoCatalogue:
    services = write_services(told)
    parts = write_parts(told)
    make_ups = write_make_ups(told, services, parts)
    span = (date.fromordinal(world.first), today)
    write_copies(told, services, Clock(zone()).at(world.first, 9 * 60))
    take_for_occasions(told, Clock(zone()).at(world.first, 9 * 60))
    write_manuals(told, make_ups)
    places = {}
    for copy in sorted({unit.shop for unit in units}):
        machines = sum(unit.shop == copy for unit in units)
        places[copy] = write_place(told, copy, machines, span)
    write_seasons(told, places)
    for place in places.values():
        write_capacity(told, place, today)
    clock = Clock(places[0].shop.zone)
    shelf = DemoCatalogue(make_ups, services, places, clock, today, told["rules"])
    for copy, place in places.items():
        machines = sum(unit.shop == copy for unit in units)
        write_stock(told, place, parts, shelf, max(1, round(machines / MACHINES_A_CREW)))
    return shelf


def limits_by_service() -> dict[str, list[Limit]]:
    """Limits by service code."""
    found: dict[str, list[Limit]] = {}
    for limit in Limit.objects.select_related("service").order_by("pk"):
        found.setdefault(limit.service.code, []).append(limit)
    return found


def _write_batch(
    told: Scenario,
    units: Sequence[Unit],
    world: World,
    shelf: DemoCatalogue,
    limits: dict[str, list[Limit]],
) -> int:
    """Live through and write one batch of machines; returns how many readings."""
    rngs = [np.random.default_rng([world.seed, unit.index]) for unit in units]
    histories = [tell(rng, unit, world) for rng, unit in zip(rngs, units, strict=True)]
    machines, meters = write_machines(
        np.random.default_rng([world.seed, units[0].index, 1]), histories, shelf
    )
    ledger = Ledger()
    desk = Desk(shelf.clock, told["shop"]["units"], world.today)
    for rng, history, machine, dials in zip(rngs, histories, machines, meters, strict=True):
        place = shelf.places[history.unit.shop]
        scribe = Scribe(rng, history, machine, dials, place, shelf, told["customers"])
        bookings = write_bookings(scribe, ledger, history.hires)
        readings = write_readings(scribe, ledger, fill_sheet(rng, history, desk))
        write_hand_overs(scribe, ledger, bookings, readings)
        records = write_book(scribe, ledger)
        write_measurements(scribe, ledger, records, limits)
        write_findings(scribe, ledger, records, told["findings"])
        write_hold(scribe)
        write_calls(scribe)
    return ledger.write()


@transaction.atomic
def load(wanted: Wanted, tell_progress: Tell | None = None) -> int:
    """Load the demo fleet; returns the number of readings.

    One transaction: cut off in the middle, it leaves the database as empty as it was.

    Raises:
        NotEmptyError: machines are here that are not of this demo.

    """
    if Machine.objects.exists() or Service.objects.exists():
        raise NotEmptyError(
            "There are machines or services here already, and the demo fleet needs an empty"
            " database. Set EVENER_DATA to a new folder (or DATABASE_URL to a new database)."
        )
    told = scenario()
    units = roster(told, wanted.machines)
    world = world_of(told, wanted.today, wanted.seed)
    shelf = _write_shelf(told, units, world, wanted.today)
    limits = limits_by_service()
    readings = 0
    # A batch stays within one shop and one range of numbers: the same seed, the same fleet.
    for start in range(0, len(units), MACHINES_AT_ONCE):
        batch = units[start : start + MACHINES_AT_ONCE]
        readings += _write_batch(told, batch, world, shelf, limits)
        if tell_progress:
            tell_progress(start + len(batch), len(units))
    span = (wanted.today - timedelta(days=DAYS_KEPT), wanted.today - timedelta(days=1))
    for place in shelf.places.values():
        write_lists(place, span, ListTelling(told["put_off_reasons"], shelf.clock, wanted.seed))
    DemoMark.objects.create(
        machines=len(units), seed=wanted.seed, loaded_for=wanted.today, lived_to=wanted.today
    )
    return readings


__all__ = ["MACHINES_A_SHOP", "NotEmptyError", "Wanted", "load", "world_of"]
