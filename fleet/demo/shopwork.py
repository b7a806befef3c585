"""When the shop served a machine: mostly near the due point, now and then late.

A plain re-telling of what shops do, not the site's own rule: the book that it makes is a fact
like any other, and the due points are worked out from it by the other half of the site.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from dateutil.relativedelta import relativedelta

NEVER = 4_000_000
"""A day number beyond any other: this side never falls due."""


@dataclass(frozen=True)
class Done:
    """A service done: day number, and the machine's lives on that morning."""

    day: int
    lives: Mapping[str, float]


@dataclass(frozen=True)
class Visit:
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

    def last_free(self, day: int, since: int) -> int:
        """The last day up to this one, after another, on which it can be served; or the day."""
        low, high = max(0, since + 1 - int(self.days[0])), max(0, day + 1 - int(self.days[0]))
        behind = np.flatnonzero(self.free[low:high])
        return int(self.days[low + behind[-1]]) if len(behind) else day


def _calendar_due(rule: Mapping[str, Any], last: int, first_time: bool) -> int:
    start = date.fromordinal(last)
    months = rule.get("first_months" if first_time else "every_months")
    months = months or rule.get("every_months")
    if months:
        return (start + relativedelta(months=months)).toordinal()
    if rule.get("every_days"):
        return last + int(rule["every_days"])
    if rule.get("season_month"):
        point = date(start.year, rule["season_month"], rule["season_day"])
        early = rule.get("early_days", 0)
        done_for_it = last >= point.toordinal() - early
        return date(start.year + done_for_it, point.month, point.day).toordinal()
    return NEVER


def due_day(
    rule: Mapping[str, Any], course: Course, last: Done | None, start: Done, factor: float
) -> int:
    """The day on which a service falls due, whichever side comes first."""
    base = last or start
    meter = NEVER
    if rule.get("every") and rule["meter_kind"] in base.lives:
        step = rule["every"] if last else rule.get("first_at", rule["every"])
        step *= min(factor, 1.0) if rule.get("hard") else factor
        meter = course.reaches(rule["meter_kind"], base.lives[rule["meter_kind"]] + step)
    return min(meter, _calendar_due(rule, base.day, last is None))


def _habit(rng: np.random.Generator, rule: Mapping[str, Any]) -> int:
    """Days after the due point on which the shop gets to it; below zero: before."""
    if rule.get("hard"):
        return -int(rng.integers(1, 12))
    if rng.random() < 0.1:
        return int(rng.integers(4, 22))
    return int(rng.integers(-6, 3))


def _planned(
    rng: np.random.Generator,
    rule: Mapping[str, Any],
    course: Course,
    last: Done | None,
    due: int,
) -> int:
    """The day on which the shop will do it, once due: the machine must be in and the shop open."""
    since = last.day if last else int(course.days[0]) - 1
    if due >= NEVER:
        return NEVER
    wanted = max(due + _habit(rng, rule), since + 1)
    if wanted > course.days[-1]:
        return wanted
    return course.last_free(wanted, since) if rule.get("hard") else course.next_free(wanted)


@dataclass(frozen=True)
class Book:
    """What is on record before the course begins, and what doing a service satisfies."""

    done: dict[str, Done]
    start: Done
    covers: Mapping[str, set[str]]
    factor: float = 1.0
    since: int = 0
    """The first day on which the shop may act."""


def serve(
    rng: np.random.Generator, rules: Sequence[Mapping[str, Any]], course: Course, book: Book
) -> list[Visit]:
    """Visits of the course's days, in order.

    Each round: (1) plan every service from its last record, (2) go to the earliest, (3) do with
    it what is planned within the next week, (4) leave out what another service covers.
    """
    done = dict(book.done)
    planned: dict[str, int] = {}
    by_code = {rule["service"]: rule for rule in rules}
    visits: list[Visit] = []
    for code, rule in by_code.items():
        due = due_day(rule, course, done.get(code), book.start, book.factor)
        planned[code] = _planned(rng, rule, course, done.get(code), due)
    first_day, last_day = max(int(course.days[0]), book.since), int(course.days[-1])
    while planned and min(planned.values()) <= last_day:
        day = max(min(planned.values()), first_day)
        wanted = {code for code, at in planned.items() if at <= day + 7}
        covered = {c for code in wanted for c in book.covers[code] - {code}}
        services = tuple(sorted(wanted - covered))
        visits.append(Visit(day, services))
        satisfied = {c for code in services for c in book.covers[code]} & by_code.keys()
        for code in sorted(satisfied):  # a set's own order changes from run to run
            done[code] = Done(day, course.lives_on(day))
            due = due_day(by_code[code], course, done[code], book.start, book.factor)
            planned[code] = max(day + 1, _planned(rng, by_code[code], course, done[code], due))
    return visits
