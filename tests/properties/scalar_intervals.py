"""One line worked out service by service with the standard library alone.

Written from the meaning of the rules, not from the array code, to be compared with it: a grid is
an endless row of points here, and each service either walks along it or starts a new one.
"""

import datetime as dt
from calendar import monthrange
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from typing import Any

Grid = Callable[[Any, bool], Iterator[Any]]


@dataclass
class ScalarLine:
    """anchor as the number of its rule; points are floats or dates, allowances to match."""

    anchor: int
    start: Any
    grid: Grid
    window: tuple[Any, Any]
    first_window: tuple[Any, Any] | None = None


def due_after(line: ScalarLine, services: list[Any]) -> tuple[Any, Any, Any] | None:
    """Opening, due point and closing after these services, or None with nothing to count from."""
    if line.start is None and not services:
        return None
    first = line.first_window is not None
    before = due = walk = None
    if line.start is not None:
        walk, before = line.grid(line.start, first), line.start
        due = next(walk)
    window = line.first_window or line.window
    served = False
    for at in sorted(set(services)):
        if due is not None and keeps(line, at, (before, due, window), served):
            if not (at < due and nearer_before(before, at, due)):
                while True:
                    before, due, window = due, next(walk), line.window
                    if due > at:
                        break
        else:
            walk, before, window = line.grid(at, False), at, line.window
            due = next(walk)
        served = True
    return due - window[0], due, due + window[1]


def nearer_before(before: Any, at: Any, due: Any) -> bool:
    """Half-way is not nearer; millionths of an hour are rounding, days are whole."""
    if isinstance(at, dt.date):
        return at - before < due - at
    return round(at - before, 6) < round(due - at, 6)


def keeps(line: ScalarLine, at: Any, state: tuple[Any, Any, Any], served: bool) -> bool:
    before, due, (early, late) = state
    if line.anchor == 1:
        return served or at >= before
    if line.anchor == 2:
        return due - early <= at
    return line.anchor == 3 and due - early <= at <= due + late


def meter_grid(every: float, first: float | None) -> Grid:
    def walk(origin: float, from_first: bool) -> Iterator[float]:
        lead = first if from_first else every
        return (origin + lead + step * every for step in count())

    return walk


def day_grid(every: int, first: int | None) -> Grid:
    def walk(origin: dt.date, from_first: bool) -> Iterator[dt.date]:
        lead = first if from_first else every
        return (origin + dt.timedelta(lead + step * every) for step in count())

    return walk


def month_grid(every: int, first: int | None, to_month_end: bool) -> Grid:
    def walk(origin: dt.date, from_first: bool) -> Iterator[dt.date]:
        lead = first if from_first else every
        return (months_on(origin, lead + step * every, to_month_end) for step in count())

    return walk


def months_on(day: dt.date, months: int, to_month_end: bool) -> dt.date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    length = monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, length if to_month_end else min(day.day, length))
