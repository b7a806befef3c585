"""Read the rows of an instance of format ``shop-plan-1``.

Unknown fields are ignored, so that a richer file can still be planned; a missing or unfit one
is refused by `fields`.  References between the lists are not looked at here.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol, TypeVar

from .entities import (
    BookedSpan,
    Due,
    InstanceError,
    Mechanic,
    PartStock,
    PlannedMachine,
    PlannedYard,
    Second,
    Setup,
    Site,
    Spot,
    Task,
    Weights,
)
from .fields import Fields

FORMAT = "shop-plan-1"
"""The only format that is read."""

LONGEST_HORIZON = 400
"""Days; a longer horizon is taken for a mistake (dates written where days belong)."""


class _Named(Protocol):
    @property
    def id(self) -> str: ...


Item = TypeVar("Item", bound=_Named)


@dataclass(frozen=True, slots=True)
class InstanceRows:
    """The lists of an instance, read on demand; `days` is the horizon in days."""

    top: Fields
    days: int

    def weights(self) -> Weights:
        """Read the weights (hours, days, money, fractions)."""
        return _weights(self.top.part("weights"))

    def yards(self) -> dict[str, PlannedYard]:
        """Read the yards, by id; bays on loan are one number a day."""
        return _keyed(self.top, "yards", lambda row: _yard(row, self.days))

    def sites(self) -> dict[str, Site]:
        """Read the remote ranches, by id; travel is in hours there and back."""
        return _keyed(self.top, "sites", _site)

    def mechanics(self) -> dict[str, Mechanic]:
        """Read the mechanics, by id; each has one number of hours a day."""
        return _keyed(self.top, "mechanics", lambda row: _mechanic(row, self.days))

    def parts(self) -> dict[str, PartStock]:
        """Read the parts in stock, by id; arrivals are counted on their late day."""
        return _keyed(self.top, "parts", _part)

    def setups(self) -> dict[str, Setup]:
        """Read the set-ups, by id, in hours and money."""
        return _keyed(self.top, "setups", _setup)

    def machines(self) -> dict[str, PlannedMachine]:
        """Read the machines, by id; each has one chance of rental a day."""
        return _keyed(self.top, "machines", lambda row: _machine(row, self.days))

    def tasks(self) -> dict[str, Task]:
        """Read the tasks, by id: hours, due days, rates in money a day."""
        return _keyed(self.top, "tasks", _task)


def _keyed(top: Fields, name: str, read: Callable[[Fields], Item]) -> dict[str, Item]:
    found: dict[str, Item] = {}
    for row in top.rows(name):
        item = read(row)
        if item.id in found:
            raise InstanceError(f"{name}[{item.id}].id: is there twice")
        found[item.id] = item
    return found


def _weights(row: Fields) -> Weights:
    return Weights(
        half_day_hours=row.number("half_day_hours"),
        deferred_days=row.number("deferred_days"),
        deferred_visit_share=row.number("deferred_visit_share"),
        goodwill_cost=row.number("goodwill_cost"),
        change_cost=row.number("change_cost"),
        mechanic_change_share=row.number("mechanic_change_share", 0.0, 1.0),
    )


def _yard(row: Fields, days: int) -> PlannedYard:
    return PlannedYard(
        id=row.text("id"),
        bays=row.number("bays"),
        closed_days=row.days("closed_days"),
        loaned_bays=row.optional_whole_numbers("loaned_bays", days),
    )


def _site(row: Fields) -> Site:
    return Site(
        id=row.text("id"),
        yard=row.text("yard"),
        travel_hours=row.number("travel_hours"),
        trip_cost=row.number("trip_cost"),
        closed_days=row.days("closed_days") if row.has("closed_days") else frozenset(),
    )


def _mechanic(row: Fields, days: int) -> Mechanic:
    return Mechanic(
        id=row.text("id"),
        yard=row.text("yard"),
        skills=row.texts("skills"),
        hours=row.numbers("hours", days),
        overtime_limit_hours=row.number("overtime_limit_hours"),
        overtime_cost_per_hour=row.number("overtime_cost_per_hour"),
        extra_overtime_hours=row.optional_numbers("extra_overtime_hours", days),
    )


def _part(row: Fields) -> PartStock:
    arrivals, slipping = [], set()
    for arrival in row.rows("arrivals"):
        day, latest = arrival.whole("day"), arrival.optional_whole("latest_day")
        # A plan that counts on the early day breaks when the part slips; so it counts on the late
        # one, and remembers that it does.
        if latest is not None and latest > day:
            day = latest
            slipping.add(latest)
        arrivals.append((day, arrival.number("quantity")))
    return PartStock(
        id=row.text("id"),
        yard=row.text("yard"),
        on_hand=row.number("on_hand"),
        arrivals=tuple(arrivals),
        slipping=frozenset(slipping),
    )


def _setup(row: Fields) -> Setup:
    return Setup(row.text("id"), row.number("hours"), row.number("cost"))


def _booking(row: Fields) -> BookedSpan:
    booking = BookedSpan(
        row.text("id"), row.whole("first_day"), row.whole("last_day"), row.number("value")
    )
    if booking.last_day < booking.first_day:
        raise row.wrong("last_day", f"{booking.last_day} is before first_day {booking.first_day}")
    return booking


def _machine(row: Fields, days: int) -> PlannedMachine:
    return PlannedMachine(
        id=row.text("id"),
        yard=row.text("yard"),
        site=None if row.values.get("site") is None else row.text("site"),
        day_rate=row.number("day_rate"),
        demand=row.numbers("demand", days, 1.0),
        bookings=tuple(_booking(b) for b in row.rows("bookings")),
        visit_hours=row.number("visit_hours"),
        visit_cost=row.number("visit_cost"),
    )


def _task(row: Fields) -> Task:
    return Task(
        id=row.text("id"),
        machine=row.text("machine"),
        hours=row.number("hours"),
        skill=row.text("skill"),
        due=_due(row.part("due")),
        limit_day=row.optional_whole("limit_day"),
        overdue_cost_per_day=row.number("overdue_cost_per_day"),
        waste_cost_per_day=row.number("waste_cost_per_day"),
        parts=tuple((p.text("part"), p.number("quantity")) for p in row.rows("parts")),
        setups=row.texts("setups"),
        blocks_rental=row.flag("blocks_rental"),
        previous=_spot(row, "previous", must_name=True),
        pin=_spot(row, "pin", must_name=False),
        after=row.texts("after") if row.has("after") else frozenset(),
        apart=row.texts("apart") if row.has("apart") else frozenset(),
        second=_second(row.part("second")) if row.has("second") else None,
        several_days=row.has("several_days") and row.flag("several_days"),
        not_before=row.optional_whole("not_before") if row.has("not_before") else None,
    )


def _second(row: Fields) -> Second:
    second = Second(row.text("skill"), row.number("hours"))
    if not second.hours > 0:
        raise row.wrong("hours", "must be above 0")
    return second


def _due(row: Fields) -> Due:
    due = Due(*(row.number(name, None) for name in ("p10", "p50", "p90")))
    if not due.p10 <= due.p50 <= due.p90:
        points = f"{due.p10:g}, {due.p50:g}, {due.p90:g}"
        raise InstanceError(f"{row.path}: p10, p50, p90 must not fall, but are {points}")
    return due


def _spot(row: Fields, name: str, *, must_name: bool) -> Spot | None:
    if row.values.get(name) is None:
        return None
    spot = row.part(name)
    open_mechanic = not must_name and spot.values.get("mechanic") is None
    return Spot(spot.whole("day", 0), None if open_mechanic else spot.text("mechanic"))
