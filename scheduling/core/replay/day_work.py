"""The day after a night: the visits that were planned for it, as they would really have gone."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

import numpy as np

from scheduling.core.planner import Spot
from scheduling.core.replay.past_shop import PastShop

PUT_OFF = 0.08
"""Share of visits that do not take place on their day (the machine is not there, a job runs over):
our judgement, as in the backtest of plans."""

MIDDAY = 0.5
"""Time of day at which work counts as done, as a share of the day."""


@dataclass(frozen=True)
class Visit:
    """Lines done at one machine, and the minutes that they really took."""

    machine: int
    lines: tuple[int, ...]
    minutes: float


def planned_visits(
    shop: PastShop, places: Mapping[int, Spot], night: int, seed: int
) -> list[Visit]:
    """Return the visits that are planned for a night's own day, those longest due first."""
    rows: dict[int, list[int]] = defaultdict(list)
    for line in sorted(places):
        if places[line].day == 0:
            rows[int(shop.lines.machine[line])].append(line)
    return [
        Visit(machine, tuple(lines), sum(_minutes(shop, line, night, seed) for line in lines))
        for machine, lines in rows.items()
    ]


def _minutes(shop: PastShop, line: int, night: int, seed: int) -> float:
    """Draw what a service really takes, from what the book says of it, or of all."""
    ratios = shop.ratios.get(int(shop.lines.service[line])) or shop.ratios.get(0) or (1.0,)
    drawn = Random(f"{seed}-minutes-{line}-{night}").choice(ratios)
    second = shop.lines.second[line]
    return drawn * (float(shop.lines.minutes[line]) + (second[0] if second else 0))


def takes_place(machine: int, night: int, seed: int) -> bool:
    """Tell whether a visit is made on its day; the same for every plan of one seed."""
    return Random(f"{seed}-visit-{machine}-{night}").random() >= PUT_OFF


def out_on(shop: PastShop, day: int) -> set[int]:
    """Return the machines that are really out on a day, those that mechanics drive to left out."""
    return {
        b.machine
        for b in shop.bookings
        if b.took_place and b.first <= day <= b.real_last
        and shop.machines[b.machine].site is None
    }  # fmt: skip


def room_on(shop: PastShop, day: int) -> tuple[float, float]:
    """Return the hours that people were there on a day, and the most with overtime."""
    hours = shop.crew.hours_on(day)
    there = float(np.sum(hours))
    return there, there + shop.crew.overtime_limit * sum(h > 0 for h in hours)
