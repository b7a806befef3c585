"""What a plan is made of: yards, people, stock, machines and the tasks on them.

Days are whole numbers and day 0 is today; hours are decimal hours; money is one currency.
The classes follow the instance format ``shop-plan-1`` field by field.
"""

from dataclasses import dataclass


class InstanceError(ValueError):
    """An instance is malformed or contradicts itself; the message names the field and the id."""


@dataclass(frozen=True, slots=True)
class Weights:
    """How the plan is priced beyond each task's own rates (hours, days, money, fractions)."""

    half_day_hours: float
    deferred_days: float
    deferred_visit_share: float
    goodwill_cost: float
    change_cost: float
    mechanic_change_share: float


@dataclass(frozen=True, slots=True)
class PlannedYard:
    """A place with bays to work in, shut on `closed_days`.

    `loaned_bays` holds one whole number a day, added to `bays`; below 0 for bays lent away.
    """

    id: str
    bays: float
    closed_days: frozenset[int]
    loaned_bays: tuple[int, ...] = ()

    def bays_on(self, day: int) -> float:
        """Return the bays of `day`, with those on loan; never below 0."""
        return max(0.0, self.bays + (self.loaned_bays[day] if self.loaned_bays else 0))


@dataclass(frozen=True, slots=True)
class Site:
    """A remote ranch: `travel_hours` there and back and `trip_cost`, once a mechanic and day.

    It takes no visit on `closed_days`.
    """

    id: str
    yard: str
    travel_hours: float
    trip_cost: float
    closed_days: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Mechanic:
    """Who works: `hours` holds one number a day, 0 when absent (and then no overtime either).

    `extra_overtime_hours` (one number a day, or empty) is allowed on top of the usual limit.
    """

    id: str
    yard: str
    skills: frozenset[str]
    hours: tuple[float, ...]
    overtime_limit_hours: float
    overtime_cost_per_hour: float
    extra_overtime_hours: tuple[float, ...] = ()

    def overtime_on(self, day: int) -> float:
        """Return the hours of overtime allowed on a day on which the mechanic works."""
        extra = self.extra_overtime_hours[day] if self.extra_overtime_hours else 0.0
        return self.overtime_limit_hours + extra


@dataclass(frozen=True, slots=True)
class PartStock:
    """Stock of one part: on the shelf now, and `arrivals` as (day, quantity).

    The day is the one that is counted on: the late date where an arrival may slip; `slipping`
    tells which days are such.
    """

    id: str
    yard: str
    on_hand: float
    arrivals: tuple[tuple[int, float], ...]
    slipping: frozenset[int] = frozenset()

    def available(self, day: int) -> float:
        """Return how many may have been used by the end of `day`."""
        return self.on_hand + sum(quantity for arrives, quantity in self.arrivals if arrives <= day)


@dataclass(frozen=True, slots=True)
class Setup:
    """Preparation (lifting, draining) paid once a visit, in hours and money."""

    id: str
    hours: float
    cost: float


@dataclass(frozen=True, slots=True)
class BookedSpan:
    """Days `first_day` to `last_day` inclusive on which a machine is promised, worth `value`."""

    id: str
    first_day: int
    last_day: int
    value: float


@dataclass(frozen=True, slots=True)
class PlannedMachine:
    """A machine, its rental value by day and what any visit costs before work begins."""

    id: str
    yard: str
    site: str | None
    day_rate: float
    demand: tuple[float, ...]
    bookings: tuple[BookedSpan, ...]
    visit_hours: float
    visit_cost: float

    def out_on(self, day: int) -> BookedSpan | None:
        """Return the booking that has the machine on `day`; a lost booking keeps its days."""
        return next((b for b in self.bookings if b.first_day <= day <= b.last_day), None)


@dataclass(frozen=True, slots=True)
class Due:
    """Forecast of the due date: 10, 50 and 90 % points in decimal days."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the plan; a pin may leave the mechanic open.

    `day` is the first day of the visit and `second` the second person at it, if it has one.
    """

    day: int
    mechanic: str | None
    second: str | None = None


@dataclass(frozen=True, slots=True)
class Second:
    """A second person needed beside the mechanic: the skill to hold, and the hours bound."""

    skill: str
    hours: float


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work on one machine, with its rates in money a day early or late.

    `not_before` is the first day on which it may stand, as of work that was put off; a pin and a
    place in the frozen days go before it.  `after` names tasks of the machine that must be done on
    an earlier day or in the same visit, `apart` tasks that must not be in the same visit.  A task
    over `several_days` may be longer than a mechanic's day: its visit goes on over the days that
    follow (`span`).
    """

    id: str
    machine: str
    hours: float
    skill: str
    due: Due
    limit_day: int | None
    overdue_cost_per_day: float
    waste_cost_per_day: float
    parts: tuple[tuple[str, float], ...]
    setups: frozenset[str]
    blocks_rental: bool
    previous: Spot | None
    pin: Spot | None
    after: frozenset[str] = frozenset()
    apart: frozenset[str] = frozenset()
    second: Second | None = None
    several_days: bool = False
    not_before: int | None = None

    def blocks(self, booking: BookedSpan) -> bool:
        """Tell whether `booking` may not start before the day on which this task is done."""
        expected_back = booking.last_day + 1
        return self.blocks_rental and booking.first_day > 0 and self.due.p50 < expected_back
