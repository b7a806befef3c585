"""From daily use to what a shop would know of it, and to questions whose answers are known.

Readings: each machine has a mean gap between readings, log-uniform from 3 to 21 days, and is read
at random moments between 06:30 and 19:00; a day's use is spread evenly from 07:00 to 19:00; values
are cut to the meter's step. Of the readings 1.5 % are mistyped. A tenth of the machines get a new
meter once, half of these with a record. Of the questions a quarter show the last one to four
readings alone.

Questions: twelve days from day 75 to 120 days before the end. The service interval is the step of
a 1-2-5 ladder nearest to 30, 60 or 100 days of the GROUP's median use, and what is left of it at
the last reading is uniform on 5 to 100 %: so the question tells nothing of the machine's own rate
or of what follows. The answer is the first day by whose end the meter gets there, cut to 0..120.
"""

from dataclasses import dataclass, field
from datetime import date, datetime

import numpy as np

from tests.benchmarks.forecast_data import DailyUse

CAP = 120
ORIGINS = 12
TYPOS, SWAPS, ON_RECORD, HARDLY_SEEN = 0.015, 0.10, 0.5, 0.25
LADDER = np.array([step * 10.0**power for power in range(-1, 5) for step in (1, 2, 5)])


@dataclass
class Machine:
    """What a shop knows of a machine."""

    id: str
    group: str
    readings: list[tuple[datetime, float]]
    swaps: list[tuple[datetime, float, float]]


@dataclass
class Task:
    """A question about one machine, and its answer."""

    machine: str
    group: str
    readings: list[tuple[datetime, float]]
    swaps: list[tuple[datetime, float, float]]
    origin: datetime
    threshold: float
    bookings: list[tuple[date, date]] | None
    truth: int
    nominal: float


@dataclass
class Story:
    """Everything that happened to one machine, by days after the first."""

    read_at: np.ndarray
    shown: np.ndarray
    swap: tuple[float, float, float, bool] | None  # day, old last, new first, on record
    offsets: list[tuple[float, float]] = field(default_factory=list)  # from day, meter at life 0

    def offset(self, day: float) -> float:
        """Return what the meter fitted on a day showed at life 0."""
        return next(value for since, value in reversed(self.offsets) if since <= day)


def life_at(life: np.ndarray, moment: float) -> float:
    """Return use up to a moment: a day's use runs evenly from 07:00 to 19:00."""
    day = int(moment)
    part = np.clip(((moment - day) * 24 - 7) / 12, 0, 1)
    return float(life[day] + part * (life[day + 1] - life[day]))


def mistyped(value: float, rng: np.random.Generator) -> float:
    """Return a value as a hurried thumb would type it."""
    text = f"{value:.1f}"
    places = [i for i, c in enumerate(text) if c.isdigit()]
    at = int(rng.choice(places))
    kind = rng.integers(4)
    if kind == 0:
        text = text[:at] + str(rng.integers(10)) + text[at + 1 :]
    elif kind == 1 and at + 1 < len(text) and text[at + 1].isdigit():
        text = text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    elif kind == 2:
        text = text.replace(".", "")
    elif len(places) > 2:
        text = text[:at] + text[at + 1 :]
    return float(text) if text.strip(".") else value


def tell(life: np.ndarray, step: float, rng: np.random.Generator) -> Story:
    """Make up the readings and swaps of one machine."""
    days = life.size - 1
    gap = np.exp(rng.uniform(np.log(3), np.log(21)))
    steps = np.cumsum(np.concatenate([rng.uniform(0, gap, 1), rng.exponential(gap, days)]))
    read_at = np.unique(
        np.floor(steps[steps < days]) + rng.uniform(6.5, 19, (steps < days).sum()) / 24
    )
    offsets, swap = [(0.0, rng.uniform(0, 5000))], None
    if rng.random() < SWAPS:
        day = rng.uniform(0.1, 0.9) * days
        new = 0.0 if rng.random() < 0.7 else rng.uniform(0, 800)
        old = offsets[0][1] + life_at(life, day)
        swap = (day, round(old, 1), round(new, 1), bool(rng.random() < ON_RECORD))
        offsets.append((day, new - life_at(life, day)))
    story = Story(read_at, np.zeros(read_at.size), swap, offsets)
    for i, moment in enumerate(read_at):
        value = story.offset(moment) + life_at(life, moment)
        value = round(float(np.floor(value / step + 1e-9) * step), 1)
        story.shown[i] = mistyped(value, rng) if rng.random() < TYPOS else value
    return story


def bookings(use: np.ndarray, today: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    """Make up the hires known on a day: most past ones, and coming ones by their lead."""
    used = np.flatnonzero(use > 0)
    spells = np.split(used, np.flatnonzero(np.diff(used) > 1) + 1) if used.size else []
    known = []
    for spell in spells:
        first, last = int(spell[0]), int(spell[-1])
        lead = first - today
        chance = 0.95 if last < today else 1.0 if lead <= 0 else 0.9 * np.exp(-lead / 25)
        if last >= today:
            last = max(last + int(rng.integers(-1, 2)), first, today)  # the return is a plan
        if rng.random() < chance:
            known.append((first, last))
        if last >= today and lead <= 40 and rng.random() < 0.1:  # to be called off
            first = today + int(rng.integers(1, 40))
            known.append((first, first + int(rng.integers(0, 4))))
    return sorted(known)


class Protocol:
    """Readings of a whole fleet, and the questions of each origin."""

    def __init__(self, fleet: DailyUse, step: float, seed: int) -> None:
        self.fleet, self.step, self.seed, self.life = fleet, step, seed, fleet.life
        rng = np.random.default_rng(seed)
        self.stories = [tell(life, step, rng) for life in self.life]

    @property
    def origins(self) -> list[int]:
        """The days on which questions are asked, counted from the first day."""
        last = self.life.shape[1] - 1 - CAP
        return [round(day) for day in np.linspace(75, last, ORIGINS)]

    def known(self, i: int, day: float) -> Machine:
        """Return what is known of a machine at the start of a day."""
        story, moment = self.stories[i], self.fleet.moment
        pairs = zip(story.read_at, story.shown, strict=True)
        readings = [(moment(t), float(v)) for t, v in pairs if t < day]
        swaps = []
        if story.swap and story.swap[0] < day and story.swap[3]:
            swaps.append((moment(story.swap[0]), *story.swap[1:3]))
        return Machine(self.fleet.names[i], self.fleet.groups[i], readings, swaps)

    def ask(
        self, day: int, most: int, with_bookings: bool
    ) -> tuple[list[Task], dict[str, Machine]]:
        """Return the questions of an origin and the fleet as it is known then."""
        rng = np.random.default_rng([self.seed, day])
        rate = self.group_rates(day)
        fleet = {}
        for i in range(len(self.fleet.names)):
            machine = self.known(i, day)
            if machine.readings:
                fleet[machine.id] = machine
        tasks: list[Task] = []
        for i in rng.permutation(len(self.fleet.names)):
            machine = fleet.get(self.fleet.names[i])
            draws = rng.random(3)
            if machine is None or self.life[i, day] <= 0 or self._hidden_swap(i, day, machine):
                continue
            if draws[0] < HARDLY_SEEN:
                machine.readings = machine.readings[-(1 + int(draws[1] * 4)) :]
                machine.swaps = [s for s in machine.swaps if s[0] > machine.readings[0][0]]
            booked = self._bookings(i, day) if with_bookings else None
            tasks.append(self._task(i, day, machine, (rate[i], draws[2], booked)))
            if len(tasks) == most:
                break
        return tasks, fleet

    def group_rates(self, day: int) -> np.ndarray:
        """Return the median use per day of each machine's group so far; the fleet's if small."""
        own = self.life[:, day] / day
        groups = np.array(self.fleet.groups)
        rate = np.full(own.size, np.median(own))
        for name in np.unique(groups):
            members = (groups == name) & (own > 0)
            if members.sum() >= 10:
                rate[groups == name] = np.median(own[members])
        return rate

    def interval(self, i: int, rate: float) -> float:
        """Return the use from one service of a machine to the next; rate: of its group, per day."""
        target = rate * (30, 60, 100)[i % 3]
        return float(LADDER[np.argmin(np.abs(np.log(LADDER / target)))])

    def times_due(self, i: int, day: int, task: Task, days: int) -> np.ndarray:
        """Return the days after the origin on which a task's service falls due, again and again."""
        life, offset = self.life[i], self.stories[i].offset(day)
        every = self.interval(i, self.group_rates(day)[i])
        found, threshold = [], task.threshold - offset
        for ahead in range(days):
            while life[day + ahead + 1] >= threshold - 1e-9:
                found.append(ahead)
                threshold += every
        return np.array(found, dtype=int)

    def _hidden_swap(self, i: int, day: int, machine: Machine) -> bool:
        """Say whether a swap without record has not yet two readings to show for it."""
        swap = self.stories[i].swap
        if swap is None or swap[0] >= day or swap[3]:
            return False
        return sum(t >= self.fleet.moment(swap[0]) for t, _ in machine.readings) < 2

    def _bookings(self, i: int, day: int) -> list[tuple[date, date]]:
        rng = np.random.default_rng([self.seed, day, i])
        spells = bookings(self.fleet.use[i], day, rng)
        return [(self.fleet.moment(a).date(), self.fleet.moment(b).date()) for a, b in spells]

    def _task(
        self,
        i: int,
        day: int,
        machine: Machine,
        drawn: tuple[float, float, list[tuple[date, date]] | None],
    ) -> Task:
        """Put the question: when is what is left at the last reading used up?"""
        rate, part, booked = drawn
        story, life = self.stories[i], self.life[i]
        looks = [t for t in story.read_at if t < day]
        if story.swap and story.swap[0] < day and story.swap[3]:
            looks.append(story.swap[0])
        interval = self.interval(i, rate)
        left = round(max((0.05 + 0.95 * part) * interval, self.step), 1)
        offset, seen = story.offset(day), life_at(life, max(looks))
        threshold = round(offset + seen + left, 1)
        reached = np.flatnonzero(life[1:] + offset >= threshold - 1e-9)
        truth = int(np.clip(reached[0] - day, 0, CAP)) if reached.size else CAP
        first = int(story.read_at[0])
        own = (life[day] - life[first]) / max(day - first, 1) or rate
        origin = self.fleet.moment(day)
        return Task(
            machine.id,
            machine.group,
            machine.readings,
            machine.swaps,
            origin,
            threshold,
            booked,
            truth,
            left / own,
        )
