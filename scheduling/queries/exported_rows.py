"""Lists as rows of a file, as they stand on their pages."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from fleet.models import Machine, ServiceRecord
from fleet.queries.costs import Costs
from fleet.table_files import Cell, TableOfCells
from scheduling.hindsight.list_entries import WORDS, Judged
from scheduling.models import State
from scheduling.queries.overdue_services import OverdueMachine
from scheduling.queries.risk_groups import RiskGroups
from scheduling.wording.hindsight_words import ONLY_PLANS, TITLES


def overdue_table(machines: Iterable[OverdueMachine]) -> TableOfCells:
    """A row a service, the machines worst first."""
    titles = (
        "machine", "class", "yard", "service", "past due by", "last done", "planned", "booking",
        "goes out",
    )  # fmt: skip
    rows: list[list[Cell]] = [
        [
            row.machine.tag,
            str(row.machine.makeup.machine_class),
            str(row.machine.yard),
            row.point.service.name,
            row.past,
            row.point.last_done_on,
            row.planned_day,
            row.booking.customer if row.booking else None,
            row.booking.first_day if row.booking else None,
        ]
        for machine in machines
        for row in machine.services
    ]
    return TableOfCells("overdue", titles, rows)


def at_risk_table(groups: RiskGroups) -> TableOfCells:
    """A row a booking, those without a way first."""
    titles = ("group", "machine", "class", "yard", "customer", "first day", "last day", "why")
    named = (("no way yet", groups.no_way), ("planned in time", groups.planned),
             ("out now", groups.out))  # fmt: skip
    rows: list[list[Cell]] = [
        [
            name,
            entry.booking.machine.tag,
            str(entry.booking.machine.makeup.machine_class),
            str(entry.booking.machine.yard),
            entry.booking.customer,
            entry.booking.first_day,
            entry.booking.last_day,
            " ".join([*entry.said, entry.decided or entry.what_to_do]).strip(),
        ]
        for name, entries in named
        for entry in entries
    ]
    return TableOfCells("bookings at risk", titles, rows)


def costs_table(costs: Costs) -> TableOfCells:
    """A row a class, then a row each of the dearest machines."""
    titles = ("what", "name", "machines", "spent", "hours run", "an hour")
    named = [("class", cost) for cost in costs.by_class]
    named += [("machine", cost) for _, cost in costs.dearest]
    rows: list[list[Cell]] = [
        [
            what,
            cost.name,
            cost.machines,
            round(cost.money, 2),
            round(cost.hours, 1),
            None if cost.per_hour is None else round(cost.per_hour, 2),
        ]
        for what, cost in named
    ]
    return TableOfCells("costs", titles, rows)


def machines_table(machines: Iterable[Machine]) -> TableOfCells:
    """A row a machine; fetch `now` with its due point and service, make-up, class and yard."""
    titles = ("machine", "serial", "class", "make-up", "yard", "state", "next service",
              "most likely due")  # fmt: skip
    rows: list[list[Cell]] = [_machine(one) for one in machines]
    return TableOfCells("machines", titles, rows)


def _machine(machine: Machine) -> list[Cell]:
    now = getattr(machine, "now", None)
    point = now.due_point if now else None
    due: date | None = now.next_due if now else None
    state = "retired" if machine.retired_on else State(now.state if now else State.UNKNOWN).label
    return [
        machine.tag,
        machine.serial,
        str(machine.makeup.machine_class),
        str(machine.makeup),
        str(machine.yard),
        str(state),
        point.service.name if point else None,
        due,
    ]


def planned_done_table(entries: Iterable[Judged]) -> TableOfCells:
    """A row an entry of the days' lists."""
    titles = ("list of", "machine", "work", "mechanic", "what became of it", "done", "why")
    rows: list[list[Cell]] = [
        [
            one.entry.day,
            one.entry.tag,
            one.entry.title,
            one.entry.mechanic,
            WORDS[one.outcome],
            one.done_on,
            one.why,
        ]
        for one in entries
    ]
    return TableOfCells("planned and done", titles, rows)


def beside_table(records: Iterable[ServiceRecord]) -> TableOfCells:
    """A row a service that was done and stood on no list; minutes empty where nobody wrote them."""
    titles = ("done", "machine", "work", "by", "minutes")
    rows: list[list[Cell]] = [
        [
            row.done_at.astimezone(row.machine.yard.zone).date(),
            row.machine.tag,
            row.service.name if row.service else "repair",
            str(row.done_by or ""),
            row.minutes,
        ]
        for row in records
    ]
    return TableOfCells("done off the list", titles, rows)


def hindsight_table(result: Mapping[str, Any]) -> TableOfCells:
    """A row a figure of a past lived through again; each range as its two ends.

    result: as it is kept; empty where nothing was lived yet.
    """
    courses = {"plans": "plans", "one_more": "a day a week more", "one_less": "a day a week less"}
    ends = [f"{name}, {end}" for name in courses.values() for end in ("least", "most")]
    rows: list[list[Cell]] = [
        [
            title,
            None if name in ONLY_PLANS else round(result["was"][name], 1),
            *(round(result[of][name][end], 1) for of in courses for end in ("low", "high")),
        ]
        for name, title in TITLES.items()
        if result and name not in result["cannot_tell"]
    ]
    return TableOfCells("hindsight", ("figure", "as it was", *ends), rows)
