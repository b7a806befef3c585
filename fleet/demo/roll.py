"""Live the demo on from the day it was last up to today: facts are added, none is changed.

What people entered meanwhile stands: bookings they made are honoured, services they recorded
count, machines they hold, store or retire stay where they are.
"""

from collections.abc import Container, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
from django.db import transaction
from django.db.models import Q

from fleet.demo.day_numbers import Clock
from fleet.demo.ledger import Ledger
from fleet.demo.live_machine import SimulatedPast, World, live, without_visits
from fleet.demo.load_fleet import MACHINES_AT_ONCE, limits_by_service, world_of
from fleet.demo.meter_looks import MeterLook
from fleet.demo.roll_shop import roll_shop
from fleet.demo.roster import Unit, roster
from fleet.demo.scenario import Scenario, scenario
from fleet.demo.stands import Stand, open_pages, stand_of
from fleet.demo.typed import Desk, fill_sheet
from fleet.demo.write_findings import write_findings, write_measurements
from fleet.demo.write_lists import ListTelling, write_lists
from fleet.demo.write_machines import DemoCatalogue
from fleet.demo.write_places import DemoShop, place_of
from fleet.demo.write_use import (
    Scribe,
    write_book,
    write_bookings,
    write_hand_overs,
    write_readings,
)
from fleet.models import (
    Booking,
    DemoMark,
    HandOver,
    Limit,
    Machine,
    MakeUp,
    Meter,
    Service,
    Shop,
)

AT_REST = ("held", "idle", "unread", "unknown start")
"""Stories of machines that nobody touches until a person does."""


@transaction.atomic
def roll(today: date) -> int:
    """Live the demo on to today; returns the number of days.  A second call on a day does nothing.

    One transaction: cut off in the middle, nothing of it is there and it can be done again.
    """
    mark = DemoMark.objects.select_for_update(no_key=True).first()
    if mark is None or mark.lived_to >= today:
        return 0
    told = scenario()
    shelf = _shelf(told, today)
    world = world_of(told, today, mark.seed, first=mark.lived_to)
    world = replace(world, rules=shelf.rules)
    for place in shelf.places.values():
        roll_shop(told, place, today, shelf.clock)
    limits = limits_by_service()
    units = [u for u in roster(told, mark.machines) if not any(map(u.story, AT_REST))]
    for start in range(0, len(units), MACHINES_AT_ONCE):
        _roll_batch(told, units[start : start + MACHINES_AT_ONCE], world, shelf, limits)
    span = (mark.lived_to, today - timedelta(days=1))
    for place in shelf.places.values():
        write_lists(place, span, ListTelling(told["put_off_reasons"], shelf.clock, mark.seed))
    days = (today - mark.lived_to).days
    mark.lived_to = today
    mark.save(update_fields=["lived_to"])
    return days


def _shelf(told: Scenario, today: date) -> DemoCatalogue:
    keys = [yard["key"] for yard in told["yards"]]
    places: dict[int, DemoShop] = {}
    for shop in Shop.objects.order_by("pk"):
        yards = list(shop.yards.order_by("pk"))
        places[shop.pk] = place_of(shop, dict(zip(keys, yards, strict=False)))
    services = {s.code: s for s in Service.objects.select_related("skill")}
    return DemoCatalogue(
        make_ups={m.model: m for m in MakeUp.objects.all()},
        services=services,
        places=places,
        clock=Clock(next(iter(places.values())).shop.zone),
        today=today,
        rules=_rules_here(told, services),
    )


def _rules_here(told: Scenario, here: Container[str]) -> dict[str, list[dict[str, Any]]]:
    """Return the rules by the services that are here: a demo of earlier knows some by other codes.

    A scenario's service that came of another one names it: `was`.
    """
    was = {one["code"]: one.get("was", one["code"]) for one in told.procedures["services"]}
    return {
        name: [
            rule if rule["service"] in here else {**rule, "service": was[rule["service"]]}
            for rule in rules
        ]
        for name, rules in told["rules"].items()
    }


def _stands(units: Sequence[Unit], world: World) -> list[Stand]:
    """Machines of the demo that are still at work, as they stand."""
    first, today = date.fromordinal(world.first), date.fromordinal(world.today)
    stored = Q(storages__first_day__lt=today) & (
        Q(storages__last_day=None) | Q(storages__last_day__gte=first)
    )
    held = Q(holds__isnull=False, holds__released_at=None)
    machines = {
        machine.tag: machine
        for machine in Machine.objects.filter(tag__in=[u.tag for u in units], retired_on=None)
        .exclude(stored)
        .exclude(held)
        .select_related("yard")
    }
    pages = open_pages(list(machines.values()), first)
    found = [
        stand_of(unit, machines[unit.tag], pages, world) for unit in units if unit.tag in machines
    ]
    return [stand for stand in found if stand and stand.standing.act_from < world.today]


def _roll_batch(
    told: Scenario,
    units: Sequence[Unit],
    world: World,
    shelf: DemoCatalogue,
    limits: dict[str, list[Limit]],
) -> None:
    ledger = Ledger()
    desk = Desk(shelf.clock, told["shop"]["units"], world.today, slip_lately=False)
    for stand in _stands(units, world):
        rng = np.random.default_rng([world.seed, stand.unit.index, world.first])
        own = replace(world, first=stand.used_from)
        history = _without_known_hand_overs(live(rng, stand.unit, own, stand.standing), stand)
        if stand.unit.story("neglected"):
            history = without_visits(history, world.first)
        _follow_rollover(history, stand, shelf)
        place = shelf.places[stand.machine.yard.shop_id]
        scribe = Scribe(rng, history, stand.machine, stand.meters, place, shelf, told["customers"])
        bookings = _bookings(scribe, ledger, stand)
        readings = write_readings(scribe, ledger, fill_sheet(rng, history, desk))
        write_hand_overs(scribe, ledger, bookings, readings)
        records = write_book(replace(scribe, history=_book_open(history)), ledger)
        write_measurements(scribe, ledger, records, limits)
        write_findings(scribe, ledger, records, told["findings"])
    ledger.write()


def _book_open(history: SimulatedPast) -> SimulatedPast:
    """The same without what the book holds already."""
    return replace(history, standing=replace(history.standing, done={}))


def _bookings(scribe: Scribe, ledger: Ledger, stand: Stand) -> list[Booking]:
    """A booking for each hire of the history: those that are known, and new rows."""
    fresh = [hire for hire in scribe.history.hires if hire not in stand.bookings]
    rows = dict(zip(fresh, write_bookings(scribe, ledger, fresh), strict=True))
    return [stand.bookings.get(hire) or rows[hire] for hire in scribe.history.hires]


def _without_known_hand_overs(history: SimulatedPast, stand: Stand) -> SimulatedPast:
    """Leave out what the desk did itself, and returns of what never went out."""

    def new(look: MeterLook) -> bool:
        if look.source != "counter":
            return True
        hire = history.hires[look.of]
        booking = stand.bookings.get(hire)
        done = {h.direction for h in booking.hand_overs.all()} if booking else set()
        out = look.minute < 12 * 60
        if out:
            return HandOver.Direction.OUT not in done
        went_out = HandOver.Direction.OUT in done or hire.first >= stand.standing.act_from
        return went_out and HandOver.Direction.BACK not in done

    return replace(history, looks=[look for look in history.looks if new(look)])


def _follow_rollover(history: SimulatedPast, stand: Stand, shelf: DemoCatalogue) -> None:
    """Where a meter went round in these days, end its row and begin the next."""
    for kind, dials in history.dials.items():
        meters = stand.meters[kind]
        if len(dials) == len(meters):
            continue
        ended, new = dials
        meters[0].removed_at = shelf.clock.at(new.day, new.minute)
        meters[0].last_value = ended.last_value
        meters[0].ending = Meter.Ending.ROLLED_OVER
        meters[0].save(update_fields=["removed_at", "last_value", "ending"])
        meters.append(
            Meter.objects.create(
                machine=stand.machine,
                kind=kind,
                fitted_at=meters[0].removed_at,
                first_value=0.0,
                rolls_over_at=meters[0].rolls_over_at,
            )
        )
