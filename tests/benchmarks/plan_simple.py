"""Two ways to plan a shop by hand: due-date order, and greedy grouping.

Neither moves what it has placed, so a legal limit may be missed where hours are short. Pins and
frozen places are not theirs: they plan a shop from nothing.
"""

from collections.abc import Iterator
from itertools import combinations

from tests.benchmarks.plan_room import Room, Row, Shop, Visit

AHEAD = 3
"""Days before its expected due date from which a task may be done, in due-date order."""

MOST_TOGETHER = 5
"""Tasks of one machine up to which every set is tried as a visit."""

A_LIMIT = 1e7
"""Money above any plan, so that tasks with a legal limit are placed first."""


def due_date_order(case: Row) -> Row:
    """Plan task by task, legal limits first, each on the first day that has room for it alone."""
    shop = Shop(case)
    room = Room(shop)
    rows = sorted(case["tasks"], key=lambda t: (not shop.must(t["id"]), t["due"]["p50"]))
    for task in rows:
        first = max(0, int(task["due"]["p50"]) - AHEAD)
        wished = [*range(first, shop.days), *range(min(first, shop.days) - 1, -1, -1)]
        options = wished if shop.must(task["id"]) else wished[: max(0, shop.days - first)]
        for visit in _alone(shop, task, options):
            if room.allowed(visit) and room.overtime(visit) is not None:
                room.put(visit)
                break
    return room.plan()


def _alone(shop: Shop, task: Row, days: list[int]) -> Iterator[Visit]:
    crew = shop.crew[shop.machines[task["machine"]]["yard"]]
    for day in days:
        for mechanic in crew:
            yield Visit(task["machine"], (task["id"],), day, mechanic)


def greedy_grouping(case: Row) -> Row:
    """Plan machine by machine, most urgent first, each time by the visit that saves the most."""
    shop = Shop(case)
    room = Room(shop)
    for machine in sorted(shop.of_machine, key=lambda m: _urgency(shop, m)):
        while (visit := _best_visit(shop, room, machine)) is not None:
            room.put(visit)
    return room.plan()


def _urgency(shop: Shop, machine: str) -> tuple[float, float]:
    tasks = [shop.tasks[t] for t in shop.of_machine[machine]]
    limits = [t["limit_day"] for t in tasks if shop.must(t["id"])]
    return min(limits, default=shop.last), min(t["due"]["p50"] for t in tasks)


def _best_visit(shop: Shop, room: Room, machine: str) -> Visit | None:
    """Return the visit that saves the most against putting its tasks off, if any saves."""
    waiting = [t for t in shop.of_machine[machine] if t not in room.places]
    best, found = 0.0, None
    for tasks in _sets(waiting):
        for day in sorted(shop.open[machine]):
            before = _saved_at_best(shop, room, machine, tasks, day)
            if before <= best:
                continue
            for mechanic in shop.crew[shop.machines[machine]["yard"]]:
                visit = Visit(machine, tasks, day, mechanic)
                saved = before - _extra(shop, room, visit)
                if saved > best and room.allowed(visit):
                    best, found = saved, visit
    return found


def _sets(tasks: list[str]) -> Iterator[tuple[str, ...]]:
    for size in range(1, min(len(tasks), MOST_TOGETHER) + 1):
        yield from combinations(tasks, size)


def _saved_at_best(shop: Shop, room: Room, machine: str, tasks: tuple[str, ...], day: int) -> float:
    """Return what a visit on the day saves before trip, overtime and change of place."""
    now = room.days_of(machine)
    saved = shop.lost_money(machine, now)
    saved -= shop.lost_money(machine, now | dict.fromkeys(tasks, day))
    for name in tasks:
        saved += shop.wait_money(name) - shop.timing[name][day] + A_LIMIT * shop.must(name)
    return saved - shop.visit_money(machine, tasks, day)


def _extra(shop: Shop, room: Room, visit: Visit) -> float:
    """Return trip, overtime and changes of a visit; infinite where the hours do not fit."""
    over = room.overtime(visit)
    if over is None:
        return float("inf")
    site = shop.machines[visit.machine]["site"]
    new = bool(site) and (site, visit.day, visit.mechanic) not in room.trips
    trip = shop.sites[site]["trip_cost"] if new else 0.0
    return over + trip + sum(shop.change(t, visit.day, visit.mechanic) for t in visit.tasks)
