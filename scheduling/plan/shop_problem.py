"""The shop's facts as one instance of the format `shop-plan-1`, and a digest of them."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from hashlib import sha256
from typing import Any

from fleet.models import Service, Shop, Yard
from scheduling.plan.decided import Decided, DecidedSpot, load_decided
from scheduling.plan.horizon import Horizon, Worker, load_horizon
from scheduling.plan.parts_taken import PartTaken, order_before_planning, parts_taken
from scheduling.plan.rented import Rented, load_rented
from scheduling.plan.sequence import WorkSequence, load_order
from scheduling.plan.shelf import Shelf, Stock, load_shelf
from scheduling.plan.work_to_plan import WorkToPlan, load_work
from scheduling.plan.workers import Crew, load_crew, workers_of

HERE = "shop"
"""The one yard of an instance: mechanics, bays and shelf belong to the shop."""

WEIGHTS = {
    "half_day_hours": 4.0,
    "deferred_days": 7.0,
    "deferred_visit_share": 0.5,
    "goodwill_cost": 150.0,
    "change_cost": 20.0,
    "mechanic_change_share": 0.25,
}
"""Prices beyond each task's own (our judgement; money, days, hours)."""


@dataclass(frozen=True)
class ShopFacts:
    """All that a shop's plan is made of."""

    shop: Shop
    horizon: Horizon
    workers: list[Worker]
    decided: Decided
    work: list[WorkToPlan]
    machines: dict[int, Rented]
    shelf: Shelf
    setups: dict[str, tuple[float, float]]
    setups_of: dict[int, list[str]]
    sites: dict[int, Yard]
    order: WorkSequence = field(default_factory=lambda: WorkSequence({}, {}))
    crew: Crew = field(default_factory=Crew)

    @cached_property
    def takes(self) -> dict[str, tuple[PartTaken, ...]]:
        """By key of the work: which parts it is planned with, substitutes among them."""
        order = order_before_planning(self.work, self.decided)
        return parts_taken(self.shelf.needs, self.shelf.stock, order)

    @property
    def uncounted(self) -> list[str]:
        """Names of the parts that work is planned with and that nobody has ever counted."""
        taken = {one.part for each in self.takes.values() for one in each}
        return sorted(name for part, name in self.shelf.uncounted.items() if part in taken)

    def counted(self, takes: Iterable[PartTaken]) -> list[tuple[Stock, float]]:
        """Return what is taken of parts that the shop keeps count of, each once."""
        total: dict[int, float] = {}
        for one in takes:
            if one.part in self.shelf.stock:
                total[one.part] = total.get(one.part, 0.0) + one.quantity
        return [(self.shelf.stock[part], quantity) for part, quantity in sorted(total.items())]


def load_shop(shop: Shop, now: datetime) -> ShopFacts:
    """Load a shop's facts and due points for planning, with a number of queries that is fixed."""
    horizon = load_horizon(shop, now)
    crew = load_crew(shop, horizon)
    workers = workers_of(crew, horizon)
    decided = load_decided(shop, horizon, workers)
    work = load_work(shop, horizon, now, decided.pinned)
    machines = load_rented(shop, horizon, now, {w.machine for w in work})
    shelf = load_shelf(shop, horizon, work, {pk: m.makeup for pk, m in machines.items()})
    setups, setups_of = _setups()
    sites = {yard.pk: yard for yard in Yard.objects.filter(shop=shop, remote=True).order_by("pk")}
    return ShopFacts(
        shop, horizon, workers, decided, work, machines, shelf, setups, setups_of, sites,
        load_order([w for w in work if w.key not in decided.later], decided.pinned), crew,
    )  # fmt: skip


def _setups() -> tuple[dict[str, tuple[float, float]], dict[int, list[str]]]:
    """Return hours and money of set-ups by name, and the set-ups of each service."""
    setups: dict[str, tuple[float, float]] = {}
    setups_of: dict[int, list[str]] = {}
    rows = Service.objects.filter(set_ups__isnull=False).order_by("pk", "set_ups__name")
    for pk, name, minutes, cost in rows.values_list(
        "pk", "set_ups__name", "set_ups__minutes", "set_ups__cost"
    ):
        setups[name] = (minutes / 60, float(cost))
        setups_of.setdefault(pk, []).append(name)
    return setups, setups_of


def instance(facts: ShopFacts) -> dict[str, Any]:
    """Return the instance of the plan; work pinned past the horizon is left out."""
    shop, horizon = facts.shop, facts.horizon
    ready = [work for work in facts.work if work.key not in facts.decided.later]
    used = {work.machine for work in ready}
    return {
        "format": "shop-plan-1",
        "horizon_days": horizon.days,
        # Days are frozen so that nobody's list changes overnight; a first plan has no list yet.
        "frozen_days": 0 if facts.decided.first else min(shop.frozen_days, horizon.days),
        "weights": WEIGHTS,
        "yards": [_yard(shop, horizon)],
        "sites": [_site(yard, horizon) for yard in facts.sites.values()],
        "mechanics": [_mechanic(worker, shop, horizon) for worker in facts.workers],
        "parts": [_part(stock) for stock in facts.shelf.stock.values()],
        "setups": [
            {"id": name, "hours": hours, "cost": cost}
            for name, (hours, cost) in sorted(facts.setups.items())
        ],
        "machines": [_machine(facts.machines[pk], horizon) for pk in sorted(used)],
        "tasks": [_task(work, facts) for work in ready],
    }


def _yard(shop: Shop, horizon: Horizon) -> dict[str, Any]:
    loaned = [horizon.loaned_bays.get(day, 0) for day in range(horizon.days)]
    return {"id": HERE, "bays": shop.bays, "closed_days": horizon.closed, "loaned_bays": loaned}


def _site(yard: Yard, horizon: Horizon) -> dict[str, Any]:
    return {
        "id": str(yard.pk), "yard": HERE,
        "travel_hours": yard.travel_hours, "trip_cost": yard.trip_cost,
        "closed_days": horizon.yards_shut.get(yard.pk, []),
    }  # fmt: skip


def _mechanic(worker: Worker, shop: Shop, horizon: Horizon) -> dict[str, Any]:
    limits = [
        horizon.overtime.get(day, shop.overtime_limit_hours) + horizon.more_overtime.get(day, 0.0)
        for day in range(horizon.days)
    ]
    least = min(limits)
    return {
        "id": worker.username,
        "yard": HERE,
        "skills": sorted(worker.skills),
        "hours": list(worker.hours),
        "overtime_limit_hours": least,
        "extra_overtime_hours": [limit - least for limit in limits],
        "overtime_cost_per_hour": shop.overtime_cost_per_hour,
    }


def part_id(stock: Stock) -> str:
    """Return the name by which sentences call a part; the key keeps it unique."""
    return f"{stock.name} #{stock.pk}"


def _part(stock: Stock) -> dict[str, Any]:
    arrivals = [
        {"day": one.day, "quantity": one.quantity, "latest_day": one.latest_day}
        for one in stock.arrivals
    ]
    return {"id": part_id(stock), "yard": HERE, "on_hand": stock.on_hand, "arrivals": arrivals}


def _machine(machine: Rented, horizon: Horizon) -> dict[str, Any]:
    hours, cost = machine.visit
    return {
        "id": machine.tag,
        "yard": HERE,
        "site": None if machine.yard is None else str(machine.yard),
        "day_rate": machine.day_rate,
        "demand": [machine.demand] * horizon.days,
        "bookings": [
            {"id": str(o.pk), "first_day": o.first, "last_day": o.last, "value": o.value}
            for o in machine.outs
        ],
        "visit_hours": hours,
        "visit_cost": cost,
    }


def _task(work: WorkToPlan, facts: ShopFacts) -> dict[str, Any]:
    pin, previous = spots(work, facts)
    limit = work.limit_day
    if pin is not None and limit is not None and pin.day > limit:
        limit = None  # the pin stands, and the plan says that the limit is not kept
    first = _first_day(work, facts) if pin is None else None
    if first is not None and limit is not None and first > limit:
        first = None  # the limit comes first
    return {
        "id": work.key,
        "machine": facts.machines[work.machine].tag,
        "hours": work.minutes / 60,
        "skill": work.skill,
        "due": dict(zip(("p10", "p50", "p90"), work.due, strict=True)),
        "limit_day": limit,
        "overdue_cost_per_day": work.overdue_cost,
        "waste_cost_per_day": early_price(work, facts.machines[work.machine]),
        "parts": [
            {"part": part_id(stock), "quantity": quantity}
            for stock, quantity in facts.counted(facts.takes[work.key])
            if quantity > 0
        ],
        "setups": facts.setups_of.get(work.service or 0, []),
        "blocks_rental": work.blocks_rental,
        "previous": None if previous is None else vars_of(previous),
        "pin": None if pin is None else vars_of(pin),
        "after": list(facts.order.after.get(work.key, ())),
        "apart": list(facts.order.apart.get(work.key, ())),
        "second": _second(work),
        "several_days": work.several_days,
        **({} if first is None else {"not_before": first}),
    }


def _first_day(work: WorkToPlan, facts: ShopFacts) -> int | None:
    """Return the day after that from which work was put off; None where that is over."""
    put_off = facts.decided.put_off.get(work.key)
    day = facts.horizon.number(put_off[0]) + 1 if put_off else 0
    return day if day > 0 else None


def early_price(work: WorkToPlan, machine: Rented) -> float:
    """Return the money of each day by which work is done early; nothing of a repair.

    A service done early begins again as much sooner, and brings its machine in again as much
    sooner: so a day costs its share both of the service and of a visit.  With the service alone,
    plans pulled work forward that saved no visit: lived through over 120 nights of the demo, 28
    days ahead, that threw away 19,700 hours of intervals in 522 visits, and 12,200 in 433 so.
    """
    if work.finding is not None or work.interval_days <= 0:
        return work.waste_cost
    return round(work.waste_cost + machine.visit_money / work.interval_days, 4)


def _second(work: WorkToPlan) -> dict[str, Any] | None:
    if work.second is None:
        return None
    minutes, skill = work.second
    return {"skill": skill, "hours": minutes / 60}


def vars_of(spot: DecidedSpot) -> dict[str, Any]:
    """Return a spot in the format's words."""
    return {"day": spot.day, "mechanic": spot.mechanic}


def spots(work: WorkToPlan, facts: ShopFacts) -> tuple[DecidedSpot | None, DecidedSpot | None]:
    """Return where work is pinned and where it stood, less what cannot be any more.

    A pin to somebody without the skill leaves the mechanic open; a pin wins over a frozen place;
    and a frozen place falls where the machine is out, the day shut or the mechanic away.  Work
    under way is pinned to whoever has it in hand, on the next day on which they work.
    """
    pin, previous = facts.decided.pins.get(work.key), facts.decided.stood.get(work.key)
    pin = pin or _goes_on(work, facts)
    by_name = {worker.username: worker for worker in facts.workers}
    if pin is not None and pin.mechanic and work.skill not in by_name[pin.mechanic].skills:
        pin = DecidedSpot(pin.day, None)
    held = previous is not None and previous.day < facts.shop.frozen_days
    if held and not _still_possible(work, pin, previous, facts):
        previous = None
    return pin, previous


def _goes_on(work: WorkToPlan, facts: ShopFacts) -> DecidedSpot | None:
    """Return where work under way is gone on with; None where its mechanic cannot any more.

    What was said of it today is said at the end of the day's work on it.
    """
    if work.begun is None or work.key in facts.decided.later:
        return None
    soonest = max(facts.horizon.number(work.begun.day) + 1, 0)
    outs = facts.machines[work.machine].outs
    for day in range(soonest, facts.horizon.days):
        if any(out.first <= day <= out.last for out in outs):
            continue
        for worker in facts.workers:
            if worker.pk == work.begun.person and worker.hours[day] > 0:
                return DecidedSpot(day, worker.username) if work.skill in worker.skills else None
    return None


def _still_possible(
    work: WorkToPlan, pin: DecidedSpot | None, spot: DecidedSpot | None, facts: ShopFacts
) -> bool:
    if spot is None:
        return False
    if pin is not None and (pin.day, pin.mechanic or spot.mechanic) != (spot.day, spot.mechanic):
        return False
    worker = next(w for w in facts.workers if w.username == spot.mechanic)
    out = any(o.first <= spot.day <= o.last for o in facts.machines[work.machine].outs)
    return work.skill in worker.skills and worker.hours[spot.day] > 0 and not out


def digest(problem: dict[str, Any], facts: ShopFacts) -> str:
    """Return a digest of what is planned, but not of where it stood before.

    Whether days are frozen is left out too, so that a first plan, run twice on one day, stands; and
    which shelf work is supplied from, which hangs on where it stood: what it needs stands instead.
    """
    tasks = [
        {**task, "previous": None, "parts": [vars(n) for n in facts.shelf.needs[task["id"]]]}
        for task in problem["tasks"]
    ]
    asked = {**problem, "tasks": tasks, "frozen_days": None}
    keys = [(w.key, w.title, w.due_point, w.finding, list(w.covers)) for w in facts.work]
    later = {key: day.isoformat() for key, day in facts.decided.later.items()}
    names = [(worker.pk, worker.name) for worker in facts.workers]
    leads = [(stock.pk, stock.lead) for stock in facts.shelf.stock.values()]
    whole = [asked, keys, later, names, facts.horizon.first.isoformat(), leads]
    put_off = {key: [day.isoformat(), why] for key, (day, why) in facts.decided.put_off.items()}
    text = json.dumps([whole, put_off, sorted(facts.shelf.uncounted.values())], sort_keys=True)
    return sha256(text.encode()).hexdigest()
