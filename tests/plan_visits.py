"""The visits of a shop-day plan, put together from its assignments for `plan_check`.

A visit is a machine and a first day.  One with a task over several days goes on, day after day,
until its hours are done; the others end on the day on which they begin.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

HOUR_SLACK = 1e-6

Row = dict[str, Any]


@dataclass
class Visit:
    """One machine at work: who comes, which days (`work`: day to hours), first and last day."""

    machine: Row
    first: int
    tasks: list[Row]
    mechanics: set[str]
    seconds: set[str | None]
    hours: float = 0.0
    setup_cost: float = 0.0
    work: dict[int, float] = field(default_factory=dict)
    last: int = 0
    ended: bool = True

    @property
    def name(self) -> str:
        return f"{self.machine['id']} on day {self.first}"

    @property
    def mechanic(self) -> str:
        return min(self.mechanics)

    @property
    def second(self) -> str | None:
        return min((name for name in self.seconds if name), default=None)

    @property
    def second_hours(self) -> float:
        return sum(t["second"]["hours"] for t in self.tasks if t.get("second"))

    @property
    def long(self) -> bool:
        return any(t.get("several_days") for t in self.tasks)


def visits_of(instance: Row, assignments: list[Row]) -> list[Visit]:
    """Return the visits of a plan's assignments with their hours by day."""
    lists = {
        name: {row["id"]: row for row in instance[name]}
        for name in ("yards", "sites", "mechanics", "setups", "machines", "tasks")
    }
    groups: dict[tuple[str, int], list[Row]] = defaultdict(list)
    for a in assignments:
        groups[lists["tasks"][a["task"]]["machine"], a["day"]].append(a)
    visits = []
    for (machine, day), rows in groups.items():
        tasks = [lists["tasks"][a["task"]] for a in rows]
        seconds = {a.get("second") for a, t in zip(rows, tasks, strict=True) if t.get("second")}
        who = {a["mechanic"] for a in rows}
        visit = Visit(lists["machines"][machine], day, tasks, who, seconds)
        _add_work(visit, instance["horizon_days"], lists)
        visits.append(visit)
    return visits


def visit_alone(instance_setups: dict[str, Row], machine: Row, tasks: list[Row]) -> tuple:
    """Hours and set-up money of one visit."""
    setups = [instance_setups[s] for s in {s for t in tasks for s in t["setups"]}]
    hours = machine["visit_hours"] + sum(x["hours"] for x in [*setups, *tasks])
    return hours, sum(s["cost"] for s in setups)


def _add_work(visit: Visit, horizon: int, lists: dict[str, dict[str, Row]]) -> None:
    visit.hours, visit.setup_cost = visit_alone(lists["setups"], visit.machine, visit.tasks)
    visit.work, visit.last = {visit.first: visit.hours}, visit.first
    if not visit.long:
        return
    visit.work, left, day = {}, visit.hours, visit.first
    while left > HOUR_SLACK and day < horizon:
        there = _room(visit, day, lists)
        if there > 0:
            visit.work[day] = min(left, there)
            visit.last = day
            left -= visit.work[day]
        day += 1
    visit.ended = left <= HOUR_SLACK and visit.first in visit.work


def _room(visit: Visit, day: int, lists: dict[str, dict[str, Row]]) -> float:
    """Regular hours that the mechanic has for the machine on a day, travel taken off."""
    machine = visit.machine
    closed, travel = list(lists["yards"][machine["yard"]]["closed_days"]), 0.0
    if machine["site"]:
        site = lists["sites"][machine["site"]]
        closed += site.get("closed_days") or []
        travel = site["travel_hours"]
    hours = lists["mechanics"][visit.mechanic]["hours"][day]
    return 0.0 if day in closed else max(0.0, hours - travel)
