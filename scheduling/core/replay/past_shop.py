"""The past of a shop as values: lines and their true lives, services done, bookings, people.

Days are whole numbers, 0 the first night's own day; moments are decimal days from its beginning.
Arrays have one row a line (l,) or a machine (n,).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scheduling.core.intervals import CalendarRules, MeterRules, ServicesDone

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class ReplayLines:
    """l lines: a machine under one service, with the rules and prices of it.

    machine: row of the machine; service: key; kind: meter that the line is judged on, "" for none;
    since: day from which the line counts; minutes: as set up; skill: of the mechanic; second:
    minutes and skill of a second person, None for none; several_days: may go on over days; blocks:
    stops the machine from going out once past its window; overdue_cost: money a day; value: money
    of the service; every: interval on the meter with the duty of the machine, NaN for none;
    length: days of the calendar interval, inf for none; covers: rows of the lines that are done
    with it.  lives: true life at the beginning of each day, (l, days), NaN without a meter.
    """

    machine: Ints
    service: Ints
    kind: NDArray[np.str_]
    meter: MeterRules
    calendar: CalendarRules
    since: Ints
    minutes: Ints
    skill: tuple[str, ...]
    second: tuple[tuple[int, str] | None, ...]
    several_days: Flags
    blocks: Flags
    overdue_cost: Floats
    value: Floats
    every: Floats
    length: Floats
    covers: tuple[tuple[int, ...], ...]
    lives: Floats

    def __len__(self) -> int:
        return self.machine.size

    def lives_at(self, moment: float) -> Floats:
        """Return all lives at a moment of the past, (l,), between two days by the share of time."""
        last = self.lives.shape[1] - 1
        low = min(max(int(moment), 0), last)
        part = min(max(moment - low, 0.0), 1.0)
        high = min(low + 1, last)
        return self.lives[:, low] + part * (self.lives[:, high] - self.lives[:, low])


@dataclass(frozen=True)
class PastMachine:
    """One machine: name, site that a mechanic drives to (None: it comes to the shop), money."""

    name: str
    site: str | None
    day_rate: float
    visit_hours: float
    visit_cost: float


@dataclass(frozen=True)
class PastService:
    """One service as the book has it: line, moment, minutes; main: not covered by another.

    life: at the meter, NaN for none.
    """

    line: int
    at: float
    life: float
    minutes: int
    main: bool


@dataclass(frozen=True)
class FixedWork:
    """Work that stays on the day on which it was really done: repairs, services without interval.

    at: moment; machine: row.
    """

    machine: int
    at: float
    minutes: int


@dataclass(frozen=True)
class PastBooking:
    """A booking and when each thing of it became known (moments; inf: never).

    lasts: (moment from which it holds, last day), the oldest first; out, back: of the hand-overs.
    """

    key: int
    machine: int
    made: float
    first: int
    lasts: tuple[tuple[float, int], ...]
    value: float
    cancelled: float = np.inf
    out: float = np.inf
    back: float = np.inf

    def last_known(self, moment: float) -> int:
        """Return its last day as far as was known by a moment; on the day of return it is in."""
        last = [day for known, day in self.lasts if known < moment][-1:] or [self.lasts[0][1]]
        if self.back < moment:
            return max(self.first, min(last[0], int(self.back) - 1))
        return max(last[0], int(moment)) if self.out < moment else last[0]

    @property
    def real_last(self) -> int:
        """Return its last day as it turned out."""
        return self.last_known(np.inf) if np.isfinite(self.back) else self.lasts[-1][1]

    @property
    def took_place(self) -> bool:
        """Tell whether it was not given up before its first day was over."""
        return self.cancelled >= self.first + 1


@dataclass(frozen=True)
class PastPerson:
    """Who works: hours on each day of the past and a horizon beyond it, less no absence."""

    name: str
    skills: frozenset[str]
    hours: tuple[float, ...]


@dataclass(frozen=True)
class AwaySpan:
    """Days on which somebody was away, and the moment from which that was known."""

    person: int
    first: int
    last: int
    known: float


@dataclass(frozen=True)
class PastCrew:
    """The people of the shop, when they were away, and what overtime may be and costs."""

    people: tuple[PastPerson, ...]
    away: tuple[AwaySpan, ...] = ()
    overtime_limit: float = 0.0
    overtime_cost: float = 0.0

    def hours_on(self, day: int) -> list[float]:
        """Return the hours that each was really there on a day."""
        gone = {span.person for span in self.away if span.first <= day <= span.last}
        return [0.0 if i in gone else p.hours[day] for i, p in enumerate(self.people)]


@dataclass(frozen=True)
class PastShop:
    """All of a past: `nights` nights; first_day: days since 1970-01-01 of the first one.

    before: services done before it; done: services done in it, in order; horizon: days planned
    ahead; weights, sites: as in ``shop-plan-1``; bays: places to work in; ratios: recorded minutes
    over those set up, by service, under 0 those of all; given: services of which every course
    learns on their day, since nothing was known of their lines before (their minutes are `fixed`).
    """

    first_day: int
    nights: int
    horizon: int
    machines: tuple[PastMachine, ...]
    lines: ReplayLines
    before: ServicesDone
    done: tuple[PastService, ...]
    fixed: tuple[FixedWork, ...]
    bookings: tuple[PastBooking, ...]
    crew: PastCrew
    weights: Mapping[str, float]
    sites: tuple[Mapping[str, Any], ...] = ()
    bays: float = 1.0
    ratios: Mapping[int, tuple[float, ...]] = field(default_factory=dict)
    given: tuple[PastService, ...] = ()
