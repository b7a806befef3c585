"""What a night knows beside use: bookings, who will be there, and what repairs usually take."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scheduling.core.replay.foresight import Foresight
from scheduling.core.replay.past_shop import Floats, PastBooking, PastCrew, PastShop

LOOK_BACK = 90
"""Days from which the share on hire and the minutes of repairs are taken."""

MOST_KEPT_BACK = 0.6
"""Share of the hours that is kept back for repairs at most."""


@dataclass(frozen=True)
class Promise:
    """A booking as a night knows it, in days from that night."""

    key: int
    first: int
    last: int
    value: float


@dataclass(frozen=True)
class NightFacts:
    """A night: use by kind of meter, promises by machine, share of days on hire (n,), and the part
    of the shop's hours that repairs took lately.
    """

    night: int
    foresight: Mapping[str, Foresight]
    promises: Mapping[int, tuple[Promise, ...]]
    demand: Floats
    kept_back: float


def night_facts(shop: PastShop, night: int, foresight: Mapping[str, Foresight]) -> NightFacts:
    """Return what was known as a day began."""
    known = [b for b in shop.bookings if b.made < night <= b.cancelled]
    return NightFacts(
        night, foresight, _promises(known, night, shop.horizon), _shares(shop, known, night),
        _kept_back(shop, night),
    )  # fmt: skip


def _promises(known: list[PastBooking], night: int, horizon: int) -> dict[int, tuple[Promise, ...]]:
    found: dict[int, list[Promise]] = defaultdict(list)
    for booking in known:
        last = booking.last_known(night)
        if last >= night and booking.first < night + horizon:
            promise = Promise(booking.key, booking.first - night, last - night, booking.value)
            found[booking.machine].append(promise)
    return {machine: tuple(sorted(rows, key=_begin)) for machine, rows in found.items()}


def _begin(promise: Promise) -> tuple[int, int]:
    return promise.first, promise.key


def _shares(shop: PastShop, known: list[PastBooking], night: int) -> Floats:
    """Return the share of the last days on which each machine was out."""
    days = np.zeros(len(shop.machines))
    for booking in known:
        first, end = max(booking.first, night - LOOK_BACK), booking.last_known(night) + 1
        days[booking.machine] += max(0, min(end, night) - first)
    return np.minimum(days / LOOK_BACK, 1.0)


def _kept_back(shop: PastShop, night: int) -> float:
    """Return the share of the last days' hours that went into fixed work."""
    first = max(night - LOOK_BACK, 0)
    there = 60.0 * sum(sum(shop.crew.hours_on(day)) for day in range(first, night))
    taken = sum(work.minutes for work in shop.fixed if first <= work.at < night)
    return min(taken / there, MOST_KEPT_BACK) if there > 0 else 0.0


def hours_known(crew: PastCrew, night: int, horizon: int, kept_back: float) -> list[list[float]]:
    """Return the hours of each person on the days ahead, as a night knows them."""
    hours = [
        [round(h * (1.0 - kept_back), 3) for h in p.hours[night : night + horizon]]
        for p in crew.people
    ]
    for span in crew.away:
        if span.known < night or span.first <= night - 1:
            for day in range(max(span.first, night), min(span.last + 1, night + horizon)):
                hours[span.person][day - night] = 0.0
    return hours
