"""The two courses of a past: as the book has it, and as nightly plans would have had it."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from math import isnan, nan
from typing import Any

from scheduling.core.planner import Spot, quick_plan, read_problem
from scheduling.core.replay.day_work import (
    MIDDAY,
    out_on,
    planned_visits,
    room_on,
    takes_place,
)
from scheduling.core.replay.done_book import DoneBook
from scheduling.core.replay.night_facts import NightFacts
from scheduling.core.replay.night_problem import night_problem
from scheduling.core.replay.past_shop import FixedWork, PastService, PastShop
from scheduling.core.replay.tally import Tally


@dataclass
class LivedCourse:
    """One life of a shop under one seed, as far as it has been lived.

    places: where the last plan put each line, in days from its night.
    """

    shop: PastShop
    seed: int
    book: DoneBook
    tally: Tally = field(default_factory=Tally)
    places: dict[int, Spot] = field(default_factory=dict)

    @classmethod
    def begin(cls, shop: PastShop, seed: int) -> "LivedCourse":
        """Return a life that has not begun."""
        return cls(shop, seed, DoneBook(shop.lines, shop.first_day, shop.before))

    def as_state(self) -> dict[str, Any]:
        """Return how far it has come, as plain JSON; a life that is unknown is None."""
        return {
            "seed": self.seed,
            "tally": asdict(self.tally),
            "added": [(n, day, None if isnan(life) else life) for n, day, life in self.book.added],
            "places": [(n, s.day, s.mechanic, s.second) for n, s in self.places.items()],
        }

    @classmethod
    def go_on(cls, shop: PastShop, state: Mapping[str, Any]) -> "LivedCourse":
        """Return the life that `as_state` wrote down, of the same shop."""
        course = cls.begin(shop, state["seed"])
        for line, day, life in state["added"]:
            course.book.add(line, day, nan if life is None else life)
        course.tally = Tally(**state["tally"])
        course.places = {n: Spot(day, who, second) for n, day, who, second in state["places"]}
        return course


def live_night(course: LivedCourse, facts: NightFacts) -> None:
    """Plan a night, send out what goes out, do the day's work, count the day.

    Where nobody works that day, nothing is planned: the next night with work plans for it.
    """
    shop, night = course.shop, facts.night
    course.places = {
        line: Spot(spot.day - 1, spot.mechanic, spot.second)
        for line, spot in course.places.items()
        if spot.day > 0
    }
    starting = [b for b in shop.bookings if b.first == night and b.took_place]
    course.tally.judge_bookings(shop, course.book.points(), starting)
    learn_given(shop, course.book, night)
    fixed = [work for work in shop.fixed if int(work.at) == night]
    there, _ = room_on(shop, night)
    if there > 0:
        plan_night(course, facts)
    _work(course, night, fixed)
    course.tally.judge_day(shop, course.book.points(), night)


def plan_night(course: LivedCourse, facts: NightFacts) -> Mapping[int, Spot]:
    """Plan a night from what is known in it, and keep the places."""
    problem = night_problem(course.shop, facts, course.book.points(), course.places)
    found = quick_plan(read_problem(problem), seed=course.seed)
    course.places = {int(name): spot for name, spot in found.items()}
    return course.places


def _work(course: LivedCourse, night: int, fixed: list[FixedWork]) -> None:
    """Make the day's visits until its hours, with overtime, are full; the rest is put off."""
    shop, tally, seed = course.shop, course.tally, course.seed
    there, most = room_on(shop, night)
    minutes = float(sum(work.minutes for work in fixed))
    seen = {work.machine for work in fixed}
    out = out_on(shop, night)
    lives, points = shop.lines.lives_at(night + MIDDAY), course.book.points()
    for visit in planned_visits(shop, course.places, night, seed):
        fits = minutes + visit.minutes <= 60.0 * most
        if visit.machine in out or not fits or not takes_place(visit.machine, night, seed):
            tally.put_off += 1
            continue
        minutes += visit.minutes
        seen.add(visit.machine)
        for line in visit.lines:
            tally.judge_service(shop, points, line, night + MIDDAY)
            course.book.do(line, night, lives)
            course.places.pop(line, None)
    tally.visits += len(seen)
    tally.judge_minutes(minutes, there)


def as_it_was(shop: PastShop) -> Tally:
    """Return the count of the past as the book has it."""
    book, tally = DoneBook(shop.lines, shop.first_day, shop.before), Tally()
    services: dict[int, list[PastService]] = defaultdict(list)
    for done in shop.done:
        services[int(done.at)].append(done)
    fixed: dict[int, list[FixedWork]] = defaultdict(list)
    for work in shop.fixed:
        fixed[int(work.at)].append(work)
    for day in range(shop.nights):
        starting = [b for b in shop.bookings if b.first == day and b.took_place]
        tally.judge_bookings(shop, book.points(), starting)
        learn_given(shop, book, day)
        _as_done(shop, book, tally, services[day], day)
        seen = {int(shop.lines.machine[done.line]) for done in services[day]}
        tally.visits += len(seen | {work.machine for work in fixed[day]})
        minutes = sum(done.minutes for done in services[day] if done.main)
        minutes += sum(work.minutes for work in fixed[day])
        tally.judge_minutes(float(minutes), room_on(shop, day)[0])
        tally.judge_day(shop, book.points(), day)
    return tally


def learn_given(shop: PastShop, book: DoneBook, day: int) -> None:
    """Note the services of a day of which every course learns."""
    for done in shop.given:
        if int(done.at) == day:
            book.add(done.line, day, done.life)


def _as_done(
    shop: PastShop, book: DoneBook, tally: Tally, services: list[PastService], day: int
) -> None:
    points = book.points()
    for done in services:
        if done.main:
            tally.judge_service(shop, points, done.line, done.at)
        book.add(done.line, day, done.life)
