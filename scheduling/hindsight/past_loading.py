"""A shop's past as the core lives through it again, loaded with a number of queries that is fixed.

Machines are those that the shop has today; what was corrected since counts as corrected.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from fleet.models import Finding, Machine, ServiceRecord, Shop, Yard
from fleet.queries.standing_records import standing_records
from scheduling.core.replay import FixedWork, PastMachine, PastShop
from scheduling.core.usage import UseLaw
from scheduling.due.learning import learn
from scheduling.due.meter_use import kind_use
from scheduling.facts.load_facts import load_facts
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import day_number
from scheduling.hindsight.foresight_making import PastUse
from scheduling.hindsight.replay_bookings import BookingsLived, Moments, bookings_lived
from scheduling.hindsight.replay_crew import crew_lived
from scheduling.hindsight.replay_lines import LinesLived, SpanLived, lines_lived
from scheduling.plan.rented import SITE_COST, SITE_HOURS, VISIT_COST, VISIT_HOURS
from scheduling.plan.shop_problem import WEIGHTS

HORIZON = 14
"""Days planned ahead each night: what lies further on hardly moves the next day's work."""

RATIOS = (0.25, 4.0)
"""Least and most recorded minutes over those set up that are believed."""


@dataclass(frozen=True)
class LoadedPast:
    """A past and what each of its nights knew of use; counts that tell how much is known.

    timed, records: services of the span with minutes, and all; late: bookings entered afterwards;
    unsure: lines of which nobody knows when they were last done.
    """

    past: PastShop
    use: PastUse
    records: int
    timed: int
    late: int
    unsure: int


def load_past(shop: Shop, first: date, last: date, now: datetime) -> LoadedPast:
    """Load the days from `first` to `last`, both included, as they are known now."""
    facts = load_facts(Scope.of(shop.pk), now)
    uses = {
        kind: kind_use(facts.use, meters, learn(facts.use, meters, UseLaw()))
        for kind, meters in facts.use.meters.items()
    }
    machines = facts.machines
    span = SpanLived(day_number(first), day_number(now.astimezone(shop.zone).date()),
                     (last - first).days + 1)  # fmt: skip
    moments = Moments(span.first, shop.zone)
    minutes = _minutes(shop, first)
    lived = lines_lived(facts, uses, span, {pk: took for pk, took, *_ in minutes})
    rows = machines.index
    made = _machines(rows, shop)
    rates = {row: machine.day_rate for row, machine in enumerate(made)}
    bookings = bookings_lived(shop, moments, rows, rates, last + timedelta(days=HORIZON))
    fixed = [*lived.fixed, *_repairs(shop, rows, moments, minutes)]
    past = PastShop(
        first_day=span.first,
        nights=span.nights,
        horizon=HORIZON,
        machines=made,
        lines=lived.lines,
        before=lived.before,
        done=tuple(lived.done),
        fixed=tuple(sorted(fixed, key=lambda work: (work.at, work.machine))),
        bookings=bookings.bookings,
        crew=crew_lived(shop, first, span.nights + HORIZON, moments),
        weights=WEIGHTS,
        sites=tuple(_sites(shop)),
        bays=float(shop.bays),
        ratios=_ratios(lived, minutes),
        given=tuple(lived.given),
    )
    return _loaded(past, PastUse(facts.use, span.first, bookings.bookings, bookings.said),
                   bookings, lived, minutes)  # fmt: skip


def _loaded(
    past: PastShop, use: PastUse, bookings: BookingsLived, lived: LinesLived,
    minutes: list[tuple[Any, ...]],
) -> LoadedPast:  # fmt: skip
    services = [row for row in minutes if row[3] is not None]
    timed = sum(row[1] is not None for row in services)
    return LoadedPast(past, use, len(services), timed, bookings.late, lived.unsure)


def _minutes(shop: Shop, first: date) -> list[tuple[Any, ...]]:
    """Return what was done since a day: key, minutes, machine, service, moment, minutes set up."""
    start, _ = shop.span_of(first)
    rows: QuerySet[ServiceRecord, Any] = standing_records().filter(
        machine__yard__shop=shop, done_at__gte=start
    ).order_by("pk")  # fmt: skip
    return list(rows.values_list(
        "pk", "minutes", "machine_id", "service_id", "done_at", "service__minutes"
    ))  # fmt: skip


def _repairs(
    shop: Shop, rows: dict[int, int], moments: Moments, minutes: list[tuple[Any, ...]]
) -> list[FixedWork]:
    """Return repairs: entries without a service, and findings that were settled without one."""
    start, _ = shop.span_of(date.fromordinal(date(1970, 1, 1).toordinal() + moments.first))
    found = [
        FixedWork(rows[machine], moments.of(at), took or 0)
        for _, took, machine, service, at, _ in minutes
        if service is None and machine in rows
    ]
    settled = Finding.objects.filter(
        machine__yard__shop=shop, settled_at__gte=start, settled_during=None, struck=False,
        calls_for=None,
    ).exclude(gravity=Finding.Gravity.NOTE)  # fmt: skip
    for machine, at, took in settled.order_by("pk").values_list(
        "machine_id", "settled_at", "minutes"
    ):
        if machine in rows and at is not None:
            found.append(FixedWork(rows[machine], moments.of(at), took))
    return found


def _machines(rows: dict[int, int], shop: Shop) -> tuple[PastMachine, ...]:
    table = {row["pk"]: row for row in Machine.objects.filter(yard__shop=shop).values(
        "pk", "tag", "day_rate", "makeup__machine_class__day_rate", "yard_id", "yard__remote",
    )}  # fmt: skip
    return tuple(_machine(table[pk]) for pk in rows)


def _machine(row: Mapping[str, Any]) -> PastMachine:
    rate = row["day_rate"]
    rate = float(row["makeup__machine_class__day_rate"] if rate is None else rate)
    if row["yard__remote"]:
        return PastMachine(row["tag"], str(row["yard_id"]), rate, SITE_HOURS, SITE_COST)
    return PastMachine(row["tag"], None, rate, VISIT_HOURS, VISIT_COST)


def _sites(shop: Shop) -> list[dict[str, Any]]:
    rows = Yard.objects.filter(shop=shop, remote=True).order_by("pk")
    return [
        {"id": str(yard.pk), "travel_hours": yard.travel_hours, "trip_cost": yard.trip_cost}
        for yard in rows
    ]


def _ratios(lived: LinesLived, minutes: list[tuple[Any, ...]]) -> dict[int, tuple[float, ...]]:
    """Return recorded minutes over those set up, by service; under 0 those of all services."""
    found: dict[int, list[float]] = defaultdict(list)
    for _, took, _, service, _, planned in minutes:
        if took and planned:
            ratio = min(max(took / planned, RATIOS[0]), RATIOS[1])
            found[service].append(ratio)
            found[0].append(ratio)
    return {service: tuple(ratios) for service, ratios in found.items()}
