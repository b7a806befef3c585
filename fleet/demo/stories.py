"""The machines with a story: swapped meters, farm-sale finds, machines that nobody served."""

from dataclasses import replace

import numpy as np

from fleet.demo.beginnings import beginning
from fleet.demo.live_machine import (
    SimulatedPast,
    StartingPoint,
    World,
    live,
    with_hires,
    without_visits,
)
from fleet.demo.roster import Unit
from fleet.demo.simulated_meters import SimulatedMeter, swap

NEGLECTED_DAYS = 130
"""Days since a neglected machine was last in the shop."""
SHOP_DAYS, SHOP_DAYS_AHEAD = 6, 14
"""Days for which a machine that is taken apart has been in the shop, and will be."""
SALE_DAYS = 60
"""Days since the farm sale at which the machine without papers was bought."""


def _rolls(history: SimulatedPast, world: World, days_ago: int) -> StartingPoint:
    """A beginning so late on its meter that the meter goes round on the day told."""
    kind = "hours"
    limit = next(m["rolls_over_at"] for m in history.unit.slot.make_up["meters"])
    n = len(world.days) - days_ago
    used = history.course.lives[kind] - history.course.lives[kind][0]
    shift = limit - used[n] - history.standing.lives[kind]
    standing = history.standing
    done = {
        code: [replace(d, lives=dict(d.lives) | {kind: d.lives[kind] + shift}) for d in known]
        for code, known in standing.done.items()
    }
    lives = dict(standing.lives) | {kind: limit - used[n]}
    return replace(standing, lives=lives, done=done)


def _swapped(history: SimulatedPast, world: World, days_ago: int) -> SimulatedPast:
    """A new meter on the first morning, so many days ago, on which the machine was in."""
    day = history.course.next_free(world.today - days_ago)
    fitted = dict(history.dials)
    *past, current = fitted["hours"]
    fitted["hours"] = [*past, *swap(current, day, history.course.lives_on(day)["hours"])]
    return replace(history, dials=fitted)


def _bought(history: SimulatedPast, world: World) -> SimulatedPast:
    """Bought without papers: what was before the sale is not known."""
    sale = world.today - SALE_DAYS
    known = without_visits(history, world.first)
    lives = history.course.lives_on(sale)
    first = {
        kind: [SimulatedMeter(kind, sale, 6 * 60, round(life, 1), round(life, 1))]
        for kind, life in lives.items()
    }
    return replace(
        known,
        looks=[look for look in known.looks if look.day > sale and look.source == "round"],
        hires=[hire for hire in history.hires if hire.first > world.today],
        dials=first,
        standing=replace(history.standing, done={}),
    )


def _idle(rng: np.random.Generator, unit: Unit, world: World, days: int) -> SimulatedPast:
    """Lived until it was put at the back of the yard; seen since on the round alone."""
    until = replace(world, today=world.today - days)
    history = live(rng, unit, until, beginning(rng, unit, until))
    rest = {
        kind: np.concatenate([life, np.full(days, life[-1])])
        for kind, life in history.course.lives.items()
    }
    course = replace(
        history.course,
        days=world.days,
        lives=rest,
        free=np.concatenate([history.course.free, np.zeros(days, dtype=bool)]),
    )
    stood = replace(history, course=course)
    return with_hires(stood, lambda hire: hire.last < until.today)


def tell(rng: np.random.Generator, unit: Unit, world: World) -> SimulatedPast:
    """Live a machine as its story wants it; without a story, as any other."""
    idle = unit.story("idle")
    if idle:
        return _idle(rng, unit, world, idle["days"])
    state = rng.bit_generator.state
    standing = beginning(rng, unit, world)
    history = live(rng, unit, world, standing)
    match unit.stories[0]["story"] if unit.stories else "":
        case "rolled over":
            rng.bit_generator.state = state
            beginning(rng, unit, world)
            history = live(rng, unit, world, _rolls(history, world, unit.stories[0]["days_ago"]))
        case "swapped":
            history = _swapped(history, world, unit.stories[0]["days_ago"])
        case "neglected":
            history = without_visits(history, world.today - NEGLECTED_DAYS)
        case "unknown start":
            history = _bought(history, world)
        case "unread":
            history = replace(history, looks=[], visits=[], hires=[])
        case "held":
            # Back since a week, so that a mechanic could see what is wrong; booked again soon.
            history = with_hires(
                history, lambda h: h.last < world.today - 7 or h.first > world.today + 1
            )
        case "overhaul":
            # In the shop for some days, and there for a while yet.
            last, first = world.today - SHOP_DAYS, world.today + SHOP_DAYS_AHEAD
            history = with_hires(history, lambda h: h.last < last or h.first > first)
        case "stored":
            first = world.today + unit.stories[0]["from_in_days"]
            last = first + unit.stories[0]["days"]
            history = with_hires(history, lambda h: h.last < first or h.first > last)
    return history
