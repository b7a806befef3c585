"""A shop as it really goes on, night after night, and what of it is known on each night.

The truth is drawn once from a seed and does not depend on what is planned: when each task will turn
out to be due, when it is first heard of, which visits are put off, who is away, which parts are
late and when each booking is made. Days count from the first night, in an instance from its own.

A due date is learned bit by bit. Let F be its first forecast and Z a standard normal number of
which each night reveals a share, so that after a share t of it the known part has variance t. The
due date is F^-1(Phi(Z)); its quantile q, given what is known and that it has not come yet, is
F^-1(Phi(known + sqrt(1 - t) Phi^-1(q'))) with q' = c + q (1 - c), where c is the chance that it
would have come by now. So forecasts move as much as their own width says, and no more.
"""

import math
from collections import defaultdict
from copy import deepcopy
from dataclasses import dataclass, field
from random import Random
from statistics import NormalDist

from tests.benchmarks.plan_instances import Row
from tests.benchmarks.plan_sizes import shop

NORMAL = NormalDist()
HEIGHTS = (0.0, 0.1, 0.5, 0.9, 1.0)
MOST_KNOWN = 0.95
"""Share of a due date's doubt that is gone at most before it comes."""

PUT_OFF = 0.08
"""Chance that a visit does not take place on its day (machine not there, job runs over)."""

AWAY = 0.02
"""Chance of each mechanic on each night to be away from the next day on, for one to three days."""

LATE = 0.3
"""Chance of a delivery to come one to six days later; this is heard of on the day it was due."""

SUDDEN = 0.2
"""Share of tasks heard of only in the week before they are due; others as they come in sight."""


def knots(due: Row) -> list[float]:
    """Return the five points of a forecast."""
    p10, p50, p90 = due["p10"], due["p50"], due["p90"]
    return [p10 - (p50 - p10) / 4, p10, p50, p90, p90 + (p90 - p50) / 4]


def quantile(points: list[float], share: float) -> float:
    """Return the day by which the due date has come with a chance of `share`."""
    n = max(n for n in range(4) if HEIGHTS[n] <= share)
    part = (share - HEIGHTS[n]) / (HEIGHTS[n + 1] - HEIGHTS[n])
    return points[n] + min(1.0, part) * (points[n + 1] - points[n])


def chance_by(points: list[float], day: float) -> float:
    """Return the chance that the due date has come by `day`."""
    if day <= points[0]:
        return 0.0
    for n in range(4):
        if day <= points[n + 1]:
            rise = HEIGHTS[n + 1] - HEIGHTS[n]
            return HEIGHTS[n] + rise * (day - points[n]) / (points[n + 1] - points[n])
    return 1.0


@dataclass(frozen=True)
class Story:
    """What becomes of one task: first forecast, the night it is heard of, what each night reveals,
    and the day on which it will turn out to be due.
    """

    points: list[float]
    heard: int
    shares: list[float]
    known: list[float]
    truth: float

    def forecast(self, night: int) -> Row:
        """Return p10, p50, p90 as seen on a night, counted from that night."""
        if self.truth <= night:
            return dict.fromkeys(("p10", "p50", "p90"), self.truth - night)
        n = min(max(0, night - max(0, self.heard)), len(self.shares) - 1)
        left, known = math.sqrt(1 - self.shares[n]), self.known[n]
        gone = chance_by(self.points, night)
        if 0.0 < gone < 1.0:
            gone = NORMAL.cdf((NORMAL.inv_cdf(gone) - known) / left)
        days = {}
        for name, share in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
            level = min(1 - 1e-9, max(1e-9, gone + share * (1 - gone)))
            rank = NORMAL.cdf(known + left * NORMAL.inv_cdf(level))
            days[name] = max(quantile(self.points, rank), float(night)) - night
        return days


def story_of(task: Row, horizon: int, rng: Random) -> Story:
    """Draw what becomes of a task."""
    points = knots(task["due"])
    ahead = rng.uniform(1, 7) if rng.random() < SUDDEN else horizon + 3
    heard = math.floor(points[2] - ahead)
    length = max(4, math.ceil(points[3] - max(0, heard)))
    shares, known = [0.0], [0.0]
    for night in range(1, length + 1):
        shares.append(MOST_KNOWN * night / length)
        known.append(known[-1] + math.sqrt(shares[-1] - shares[-2]) * rng.gauss(0, 1))
    last = known[-1] + math.sqrt(1 - shares[-1]) * rng.gauss(0, 1)
    return Story(points, heard, shares, known, quantile(points, NORMAL.cdf(last)))


@dataclass
class World:
    """The truth of a shop of a size over `nights` nights, planned `horizon` days ahead.

    `trouble` multiplies the chances of visits put off, people away and parts late; without it only
    due dates move, tasks come in sight and bookings are made.
    """

    size: str
    seed: int
    nights: int
    horizon: int
    trouble: float = 1.0
    whole: Row = field(init=False)
    stories: dict[str, Story] = field(init=False)

    def __post_init__(self) -> None:
        self.whole = shop(self.size, self.seed, self.nights + self.horizon)
        self._spread_deliveries()
        self.stories = {
            t["id"]: story_of(t, self.horizon, self.dice("story", t["id"]))
            for t in self.whole["tasks"]
        }
        self.tasks = {t["id"]: t for t in self.whole["tasks"]}
        self.heard = {
            b["id"]: b["first_day"] - self.dice("booking", b["id"]).randint(3, 21)
            for m in self.whole["machines"]
            for b in m["bookings"]
        }
        self.away = {m["id"]: self._away(m["id"]) for m in self.whole["mechanics"]}

    def _spread_deliveries(self) -> None:
        """Let what is not on the shelf come one by one over the nights."""
        for part in self.whole["parts"]:
            rng, awaited = (
                self.dice("part", part["id"]),
                sum(a["quantity"] for a in part["arrivals"]),
            )
            days = sorted(rng.randint(2, self.nights) for _ in range(awaited))
            part["arrivals"] = [{"day": day, "quantity": 1} for day in days]

    def dice(self, *of: object) -> Random:
        """Return the random numbers of one thing, the same whatever else happens."""
        return Random("-".join(map(str, (self.size, self.seed, *of))))

    def _away(self, mechanic: str) -> dict[int, int]:
        """Return the days away, each with the night on which it is heard of."""
        days: dict[int, int] = {}
        for night in range(1, self.nights):
            rng = self.dice("away", mechanic, night)
            if rng.random() < self.trouble * AWAY:
                days |= {
                    night + n: night for n in range(rng.randint(1, 3)) if night + n not in days
                }
        return days

    def takes_place(self, machine: str, night: int) -> bool:
        """Tell whether a visit planned for a night's own day is really made."""
        return self.dice("visit", machine, night).random() >= self.trouble * PUT_OFF

    def comes_on(self, part: str, n: int, day: int) -> int:
        """Return the day on which a part's n-th delivery really comes."""
        rng = self.dice("late", part, n)
        return day + rng.randint(1, 6) if rng.random() < self.trouble * LATE else day

    def seen(self, night: int, done: dict[str, int], previous: dict[str, Row]) -> Row:
        """Return the instance of a night: day 0 is that night's own day.

        `done` are tasks by the day they were done, `previous` the places planned the night before,
        in days of the world.
        """
        case, whole = deepcopy(self.whole), self.whole
        last = night + self.horizon
        case |= {"horizon_days": self.horizon, "name": f"{whole['name']}, night {night}"}
        for yard in case["yards"]:
            yard["closed_days"] = [d - night for d in yard["closed_days"] if night <= d < last]
        for mechanic in case["mechanics"]:
            gone = {d for d, heard in self.away[mechanic["id"]].items() if heard <= night}
            hours = enumerate(mechanic["hours"][night:last], night)
            mechanic["hours"] = [0.0 if day in gone else h for day, h in hours]
        for machine in case["machines"]:
            machine["demand"] = machine["demand"][night:last]
            machine["bookings"] = [
                b | {"first_day": b["first_day"] - night, "last_day": b["last_day"] - night}
                for b in machine["bookings"]
                if self.heard[b["id"]] <= night and b["last_day"] >= night
            ]
        case["tasks"] = [
            self.task_seen(t, night, previous.get(t["id"]))
            for t in case["tasks"]
            if t["id"] not in done and self.stories[t["id"]].heard <= night
        ]
        case["parts"] = self.parts_seen(night, done)
        return case

    def task_seen(self, task: Row, night: int, before: Row | None) -> Row:
        """Return a task as known on a night; a limit that has passed is one no more."""
        limit = task["limit_day"]
        task["limit_day"] = None if limit is None or limit < night else limit - night
        task["due"] = self.stories[task["id"]].forecast(night)
        if before and before["day"] >= night:
            task["previous"] = before | {"day": before["day"] - night}
        return task

    def parts_seen(self, night: int, done: dict[str, int]) -> list[Row]:
        """Return the stock on a night and the deliveries still awaited."""
        drawn: dict[str, int] = defaultdict(int)
        for name in done:
            for row in self.tasks[name]["parts"]:
                drawn[row["part"]] += row["quantity"]
        parts = []
        for part in self.whole["parts"]:
            there, awaited = part["on_hand"] - drawn[part["id"]], []
            for n, row in enumerate(part["arrivals"]):
                really = self.comes_on(part["id"], n, row["day"])
                if really <= night:
                    there += row["quantity"]
                else:
                    day = row["day"] if night < row["day"] else really
                    awaited.append({"day": day - night, "quantity": row["quantity"]})
            parts.append(part | {"on_hand": there, "arrivals": awaited})
        return parts
