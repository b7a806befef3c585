"""When the shop served a machine: mostly near the due point, now and then late.

A plain re-telling of what shops do, not the site's own rule: the book that it makes is a fact
like any other, and the due points are worked out from it by the other half of the site.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from fleet.demo.duepoints import NEVER, Point, Rule, begin, meet

LATE_SHARE = 0.07
"""Share of services to which the shop gets too late."""
DAYS_AHEAD = 9
"""How long before its planned day a machine is served because it is about to go out."""


@dataclass(frozen=True)
class Done:
    """A service done: day number, and the machine's lives on that morning."""

    day: int
    lives: Mapping[str, float]


@dataclass(frozen=True)
class SimulatedVisit:
    """One visit to the shop (or of the mechanic): the services done, in order of their codes."""

    day: int
    services: tuple[str, ...]


@dataclass(frozen=True)
class Course:
    """A machine's days as the shop sees them.

    lives: kind -> total use at the start of each day (one more than days); free: days on which
    it stands in the yard and the shop is open.
    """

    days: np.ndarray
    lives: Mapping[str, np.ndarray]
    free: np.ndarray

    def lives_on(self, day: int) -> dict[str, float]:
        """Lives on the morning of a day."""
        n = int(np.clip(day - self.days[0], 0, len(self.days)))
        return {kind: float(life[n]) for kind, life in self.lives.items()}

    def reaches(self, kind: str, life: float) -> int:
        """The first day on whose morning this much use has been reached."""
        if kind not in self.lives:
            return NEVER
        n = int(np.searchsorted(self.lives[kind], life))
        return int(self.days[0]) + n if n < len(self.lives[kind]) else NEVER

    def next_free(self, day: int) -> int:
        """The first day from this one on which it can be served."""
        n = max(0, day - int(self.days[0]))
        ahead = np.flatnonzero(self.free[n:])
        return int(self.days[n + ahead[0]]) if len(ahead) else NEVER

    def last_free(self, day: int, since: int) -> int | None:
        """The last day up to this one, after another, on which it can be served."""
        low, high = max(0, since + 1 - int(self.days[0])), max(0, day + 1 - int(self.days[0]))
        behind = np.flatnonzero(self.free[low:high])
        return int(self.days[low + behind[-1]]) if len(behind) else None


def due_day(rule: Rule, course: Course, point: Point) -> int:
    """The day on which a service falls due, whichever side comes first."""
    meter = NEVER
    if point.life < inf:
        meter = course.reaches(rule["meter_kind"], point.life)
    return min(meter, point.day)


def _habit(rng: np.random.Generator, rule: Rule) -> int:
    """Days after the due point on which the shop gets to it; below zero: before."""
    if rule.get("hard"):
        return -int(rng.integers(1, 12))
    if rule.get("season_month"):
        return int(rng.integers(-32, 3))
    if rng.random() < LATE_SHARE:
        return int(rng.integers(3, 16))
    return int(rng.integers(-6, 2))


def _planned(rng: np.random.Generator, rule: Rule, course: Course, due: int, since: int) -> int:
    """The day on which the shop will do it, once due: the machine must be in and the shop open.

    A machine that is out on that day is served before it goes out, if that is not long before.
    """
    if due >= NEVER:
        return NEVER
    wanted = max(due + _habit(rng, rule), since + 1)
    if wanted > course.days[-1]:
        return wanted
    before = course.last_free(wanted, since)
    if rule.get("hard"):  # if need be at the customer's
        return wanted if before is None else before
    if before is not None and wanted - before <= DAYS_AHEAD:
        return before
    return course.next_free(wanted)


@dataclass(frozen=True)
class PastRecords:
    """What is on record before the course begins, oldest first; what a service satisfies."""

    done: Mapping[str, Sequence[Done]]
    start: Done
    covers: Mapping[str, set[str]]
    factor: float = 1.0
    since: int = 0
    """The first day on which the shop may act."""

    def point(self, rule: Rule) -> Point:
        """Where a service stands after all that is on record."""
        kind = rule.get("meter_kind", "")
        point = begin(rule, self.start.day, self.start.lives.get(kind, 0.0), self.factor)
        for done in self.done.get(rule["service"], ()):
            point = meet(rule, point, done.day, done.lives.get(kind), self.factor)
        return point


class SimulatedShop:
    """One machine's services as the shop keeps track of them."""

    def __init__(
        self, rng: np.random.Generator, rules: Sequence[Rule], course: Course, book: PastRecords
    ) -> None:
        self.rng, self.course, self.book = rng, course, book
        self.rules = {rule["service"]: rule for rule in rules}
        self.points = {code: book.point(rule) for code, rule in self.rules.items()}
        self.planned: dict[str, int] = {}
        for code in self.rules:
            before = book.done.get(code)
            never = max(int(course.days[0]) - 1, book.start.day)
            self.plan(code, before[-1].day if before else never)

    def plan(self, code: str, since: int) -> None:
        """Plan a service from where it stands, after the day on which it was last done."""
        rule = self.rules[code]
        due = due_day(rule, self.course, self.points[code])
        self.planned[code] = _planned(self.rng, rule, self.course, due, since)

    def visit(self, day: int) -> SimulatedVisit:
        """Do what is planned for the next week, less what another service covers."""
        covers = self.book.covers
        wanted = {code for code, at in self.planned.items() if at <= day + 7}
        services = wanted - {c for code in wanted for c in covers[code] - {code}}
        satisfied = {c for code in services for c in covers[code]} & self.rules.keys()
        for code in sorted(satisfied):  # a set's own order changes from run to run
            life = self.course.lives_on(day).get(self.rules[code].get("meter_kind", ""))
            self.points[code] = meet(
                self.rules[code], self.points[code], day, life, self.book.factor
            )
            self.plan(code, day)
            self.planned[code] = max(day + 1, self.planned[code])
        return SimulatedVisit(day, tuple(sorted(services)))


def serve(
    rng: np.random.Generator, rules: Sequence[Rule], course: Course, book: PastRecords
) -> list[SimulatedVisit]:
    """Visits of the course's days, in order."""
    shop = SimulatedShop(rng, rules, course, book)
    first, last = max(int(course.days[0]), book.since), int(course.days[-1])
    visits: list[SimulatedVisit] = []
    while min(shop.planned.values(), default=NEVER) <= last:
        visits.append(shop.visit(max(min(shop.planned.values()), first)))
    return visits
