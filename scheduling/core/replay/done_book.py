"""What has been done on each line in one course of the past, and the due points that follow."""

from collections import defaultdict
from dataclasses import fields
from typing import TypeVar

import numpy as np

from scheduling.core.intervals import (
    CalendarRules,
    DuePoints,
    MeterRules,
    ServicesDone,
    due_points,
)
from scheduling.core.replay.past_shop import Floats, Ints, ReplayLines

RulesOf = TypeVar("RulesOf", MeterRules, CalendarRules)


class DoneBook:
    """A service book that grows; only the due points of lines that something was added to are
    worked out anew.  added: line, day, life of all that was noted since the first night.
    """

    def __init__(self, lines: ReplayLines, first_day: int, before: ServicesDone) -> None:
        self.lines, self.first_day = lines, first_day
        self._done: dict[int, list[tuple[int, float]]] = defaultdict(list)
        days = before.day.astype("datetime64[D]").astype(np.int64).tolist()
        for line, day, life in zip(before.line.tolist(), days, before.life.tolist(), strict=True):
            self._done[line].append((day, life))
        self._points = due_points(lines.meter, lines.calendar, before)
        self._moved: set[int] = set()
        self.added: list[tuple[int, int, float]] = []

    def add(self, line: int, day: int, life: float) -> None:
        """Note one service of one line: day from the first night, life on the line's meter."""
        self._done[line].append((self.first_day + day, life))
        self._moved.add(line)
        self.added.append((line, day, life))

    def do(self, line: int, day: int, lives: Floats) -> None:
        """Note a service with all that it covers; lives: of all lines at that moment, (l,)."""
        for each in (line, *self.lines.covers[line]):
            self.add(each, day, float(lives[each]))

    def points(self) -> DuePoints:
        """Return what is next due on each line, (l,)."""
        if self._moved:
            rows = np.array(sorted(self._moved), dtype=np.int64)
            self._moved.clear()
            self._points = _with(self._points, rows, self._points_of(rows))
        return self._points

    def _points_of(self, rows: Ints) -> DuePoints:
        done = [
            (number, day, life)
            for number, line in enumerate(rows.tolist())
            for day, life in self._done[line]
        ]
        number, day, life = zip(*done, strict=True)
        services = ServicesDone(
            np.array(number, dtype=np.int64),
            np.array(day, dtype=np.int64).astype("datetime64[D]"),
            np.array(life, dtype=np.float64),
        )
        lines = self.lines
        return due_points(rules_of(lines.meter, rows), rules_of(lines.calendar, rows), services)


def rules_of(rules: RulesOf, rows: Ints) -> RulesOf:
    """Return the rules of some lines."""
    return type(rules)(**{f.name: getattr(rules, f.name)[rows] for f in fields(rules)})


def _with(points: DuePoints, rows: Ints, fresh: DuePoints) -> DuePoints:
    """Return the points with those of some lines put in anew."""
    columns = []
    for column in fields(DuePoints):
        values = getattr(points, column.name).copy()
        values[rows] = getattr(fresh, column.name)
        columns.append(values)
    return DuePoints(*columns)
