"""A shop's past lived through again: the book, the plans, and the plans with other hands.

All courses go through a night together, so that what the night knew of use is worked out once.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from hashlib import sha256
from typing import Any

from scheduling.core.replay import (
    LivedCourse,
    PastShop,
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


class Relived:
    """The courses of one past, as far as they have been lived; night: the next one.

    state: what `as_state` wrote down of the same past, to go on from; what it wrote of another
    (machines or services were added or retired since) is dropped, and all begins again.
    """

    def __init__(self, loaded: LoadedPast, seeds: int, state: Mapping[str, Any] | None = None):
        past = loaded.past
        self.loaded, self.seeds, self.night = loaded, seeds, 0
        self.shops = {PLANS: past, MORE: one_more(past), LESS: one_less(past)}
        if state and state["lines"] == _mark(past):
            self.night = state["night"]
            self.courses = {
                name: [LivedCourse.go_on(self.shops[name], each) for each in kept]
                for name, kept in state["courses"].items()
            }
        else:
            self.courses = {
                name: [LivedCourse.begin(shop, seed) for seed in range(1, seeds + 1)]
                for name, shop in self.shops.items()
            }

    @property
    def over(self) -> bool:
        """Whether all nights have been lived."""
        return self.night >= self.loaded.past.nights

    def live(self) -> None:
        """Live through one night more."""
        past = self.loaded.past
        facts = night_facts(past, self.night, self.loaded.use.foresight(self.night))
        for course in (course for group in self.courses.values() for course in group):
            live_night(course, facts)
        self.night += 1

    def as_state(self) -> dict[str, Any]:
        """Return how far it has come, as plain JSON."""
        courses = {
            name: [course.as_state() for course in group] for name, group in self.courses.items()
        }
        return {"night": self.night, "lines": _mark(self.loaded.past), "courses": courses}

    def result(self) -> dict[str, Any]:
        """Return the figures of the past and of each kind of plan, as plain JSON."""
        loaded, past = self.loaded, self.loaded.past
        return {
            "nights": past.nights,
            "machines": len(past.machines),
            "lines": len(past.lines),
            "seeds": self.seeds,
            "was": _hours(as_it_was(past).as_dict()),
            **{name: _ranges(c.tally for c in group) for name, group in self.courses.items()},
            "cannot_tell": unknown_figures(loaded),
            "known": {
                "services": loaded.records, "timed": loaded.timed, "late_bookings": loaded.late,
                "unsure": loaded.unsure, "given": sum(entry.main for entry in past.given),
            },
        }  # fmt: skip


def _mark(past: PastShop) -> str:
    """Return a digest of the machines and services that a past is about."""
    pairs = zip(past.lines.machine.tolist(), past.lines.service.tolist(), strict=True)
    told = [past.first_day, past.nights, [machine.name for machine in past.machines], *pairs]
    return sha256(repr(told).encode()).hexdigest()


def relive(loaded: LoadedPast, seeds: int = SEEDS, tell: Tell | None = None) -> dict[str, Any]:
    """Return the figures of the past and of each kind of plan, as plain JSON.

    Raises `Stopped` where `tell` says that nobody waits for it any more.
    """
    lived = Relived(loaded, seeds)
    while not lived.over:
        if tell and not tell(lived.night, loaded.past.nights):
            raise Stopped
        lived.live()
    return lived.result()


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
