"""Pasts small enough to count by hand: a few machines on the calendar, one mechanic, every day."""

from dataclasses import replace

import numpy as np

from scheduling.core.intervals import CalendarRules, MeterRules, ServicesDone
from scheduling.core.replay import (
    LivedCourse,
    PastCrew,
    PastMachine,
    PastPerson,
    PastService,
    PastShop,
    ReplayLines,
    live_night,
    night_facts,
)

FIRST = 20_000
"""Day number of the first night."""

WEIGHTS = {
    "half_day_hours": 4.0, "deferred_days": 7.0, "deferred_visit_share": 0.5,
    "goodwill_cost": 150.0, "change_cost": 20.0, "mechanic_change_share": 0.25,
}  # fmt: skip
HORIZON = 14


def small_lines(count=1, every_days=30, late=2, nights=20, **fields):
    """Lines of `count` machines, one each, on the calendar alone; 60 minutes."""
    usual = {
        "machine": np.arange(count),
        "service": np.full(count, 7),
        "kind": np.array([""] * count, dtype="U8"),
        "meter": MeterRules(np.full(count, np.nan)),
        "calendar": CalendarRules(
            start=np.full(count, np.datetime64("NaT", "D")),
            days=np.broadcast_to(every_days, count), late=np.full(count, late),
        ),
        "since": np.zeros(count, dtype=np.int64),
        "minutes": np.full(count, 60),
        "skill": ("any",) * count,
        "second": (None,) * count,
        "several_days": np.zeros(count, dtype=np.bool_),
        "blocks": np.ones(count, dtype=np.bool_),
        "overdue_cost": np.full(count, 10.0),
        "value": np.full(count, 60.0),
        "every": np.full(count, np.nan),
        "length": np.maximum(np.broadcast_to(every_days, count), 1.0),
        "covers": ((),) * count,
        "lives": np.full((count, nights + 2), np.nan),
    }  # fmt: skip
    return ReplayLines(**{**usual, **fields})


def small_past(lines=None, done=(), nights=20, last_done=-30, **fields):
    """A shop of one mechanic who works 8 h every day; all lines were done `last_done` days ago."""
    lines = lines if lines is not None else small_lines(nights=nights)
    count = len(lines)
    machines = int(lines.machine.max()) + 1
    lives = np.where(np.isnan(lines.lives[:, 0]), np.nan, 0.0)
    before = ServicesDone(
        np.arange(count), np.full(count, FIRST + last_done).astype("datetime64[D]"), lives
    )
    usual = {
        "first_day": FIRST, "nights": nights, "horizon": HORIZON,
        "machines": tuple(PastMachine(f"M{n}", None, 100.0, 0.5, 32.0) for n in range(machines)),
        "lines": lines, "before": before, "done": tuple(done), "fixed": (), "bookings": (),
        "crew": small_crew(nights), "weights": WEIGHTS, "bays": 2.0,
    }  # fmt: skip
    return PastShop(**{**usual, **fields})


def small_crew(nights, hours=8.0, people=1, **fields):
    there = (hours,) * (nights + HORIZON)
    made = tuple(PastPerson(f"p{n}", frozenset({"any"}), there) for n in range(people))
    return PastCrew(made, **{"overtime_limit": 1.0, "overtime_cost": 50.0, **fields})


def as_done(line, at, minutes=60, life=np.nan):
    return PastService(line, at, life, minutes, main=True)


def lived(past, seed=1):
    """Return the count of a past with plans and without any meter."""
    course = LivedCourse.begin(past, seed)
    for night in range(past.nights):
        live_night(course, night_facts(past, night, {}))
    return course.tally


def without_chance(monkeypatch):
    """Let every visit be made on its day."""
    monkeypatch.setattr("scheduling.core.replay.courses.takes_place", lambda *_: True)


__all__ = ["FIRST", "as_done", "lived", "replace", "small_crew", "small_lines", "small_past",
           "without_chance"]  # fmt: skip
