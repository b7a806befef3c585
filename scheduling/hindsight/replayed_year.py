"""A shop's past lived through again: the book, the plans, and the plans with other hands.

All courses go through a night together, so that what the night knew of use is worked out once.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from scheduling.core.replay import (
    LivedCourse,
    Tally,
    as_it_was,
    live_night,
    night_facts,
    one_less,
    one_more,
)
from scheduling.hindsight.past_loading import LoadedPast
from scheduling.hindsight.too_thin import unknown_figures

SEEDS = 3
"""How often each is lived, with other chances, where nobody says otherwise."""

FIGURES = ("overdue_days", "hard_days", "bookings", "visits", "services", "overtime", "thrown",
           "put_off", "worked")  # fmt: skip

PLANS, MORE, LESS = "plans", "one_more", "one_less"

Tell = Callable[[int, int], bool]
"""Called with nights lived and nights in all; False: stop here."""


class Stopped(Exception):
    """Somebody wants no more of it."""


def relive(loaded: LoadedPast, seeds: int = SEEDS, tell: Tell | None = None) -> dict[str, Any]:
    """Return the figures of the past and of each kind of plan, as plain JSON.

    Raises `Stopped` where `tell` says that nobody waits for it any more.
    """
    past = loaded.past
    shops = {PLANS: past, MORE: one_more(past), LESS: one_less(past)}
    courses = {
        name: [LivedCourse.begin(shop, seed) for seed in range(1, seeds + 1)]
        for name, shop in shops.items()
    }
    for night in range(past.nights):
        if tell and not tell(night, past.nights):
            raise Stopped
        facts = night_facts(past, night, loaded.use.foresight(night))
        for course in (course for group in courses.values() for course in group):
            live_night(course, facts)
    lived = {name: _ranges(course.tally for course in group) for name, group in courses.items()}
    return {
        "nights": past.nights,
        "machines": len(past.machines),
        "lines": len(past.lines),
        "seeds": seeds,
        "was": _hours(as_it_was(past).as_dict()),
        **lived,
        "cannot_tell": unknown_figures(loaded),
        "known": {
            "services": loaded.records, "timed": loaded.timed, "late_bookings": loaded.late,
            "unsure": loaded.unsure, "given": sum(entry.main for entry in past.given),
        },
    }  # fmt: skip


def _ranges(tallies: Iterable[Tally]) -> dict[str, dict[str, float]]:
    """Return the least and the most of each figure."""
    rows = [_hours(tally.as_dict()) for tally in tallies]
    return {name: _range([row[name] for row in rows]) for name in FIGURES}


def _range(values: Sequence[float]) -> dict[str, float]:
    return {"low": min(values), "high": max(values)}


def _hours(figures: dict[str, float]) -> dict[str, float]:
    """Return the figures with hours in the place of minutes."""
    hours = {name: round(figures[name] / 60, 1) for name in ("overtime", "worked")}
    return {**figures, **hours}
