"""How machines with one kind of meter are used: life lines, belief about rates, life at a day."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import (
    UseCircumstances,
    UseOutlook,
    UseSummary,
    look_ahead,
    summarise,
)
from scheduling.core.usage import Cleaned
from scheduling.core.verification import NOMINAL
from scheduling.due.learning import Lesson, cleaned_lives
from scheduling.due.use_circumstances import circumstances
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.meter_arrays import MeterFacts
from scheduling.facts.yard_days import Floats, Ints


@dataclass(frozen=True)
class KindUse:
    """Use on one kind of meter of k machines.

    local: number 0..k-1 of each row of `Machines`, -1 for none, shape (n,); offset: what is added
    to a cleaned life to make it the life of `fleet.models.meters`, shape (k,); levels: chances
    asked for at the two ends of a range.
    """

    meters: MeterFacts
    local: Ints
    lesson: Lesson
    about: UseCircumstances
    cleaned: Cleaned
    offset: Floats
    outlook: UseOutlook
    summary: UseSummary
    levels: tuple[float, float] = NOMINAL

    @property
    def last_life(self) -> Floats:
        """Life at the last trusted reading, or when the meter was fitted, (k,); NaN for none."""
        return self.cleaned.last_life + self.offset

    @property
    def read_life(self) -> Floats:
        """Life at the last trusted reading, (k,); NaN where the meter was never read."""
        return np.where(self.meters.unread, np.nan, self.last_life)

    def life_on(self, machine: Ints, day: Floats) -> Floats:
        """Return lives at moments, (q,): on the line, or drawn on from its ends at the mean rate.

        machine: numbers 0..k-1; day: days from the yard's today.  Before the first reading no life
        is put below that at the first fitting.  NaN without any point.
        """
        line, m = self.cleaned, machine
        has = line.first[m] >= 0
        inner = np.where(has, _between(line, m, day), np.nan) + self.offset[m]
        rate = self.summary.rate[m]
        first, last = line.first_day[m], line.last_day[m]
        before = (line.pick(line.points_life, line.first) + self.offset)[m] - rate * (first - day)
        after = self.last_life[m] + rate * (day - last)
        early = np.maximum(before, np.fmin(self.meters.base[m], inner))
        return np.where(day > last, after, np.where(day < first, early, inner))


def _between(line: Cleaned, machine: Ints, day: Floats) -> Floats:
    """Interpolate on the life lines; outside them the nearest end holds."""
    if not line.day.size:
        return np.full(day.size, np.nan)
    # Points and questions sorted together: each question then stands after its earlier points.
    p = line.day.size
    order = np.lexsort((
        np.repeat([0, 1], [p, day.size]),
        np.concatenate([line.day, day]),
        np.concatenate([line.machine, machine]),
    ))  # fmt: skip
    place = np.empty(order.size, dtype=np.int64)
    place[order] = np.cumsum(order < p)
    low = np.clip(place[p:] - 1, line.first[machine], line.last[machine])
    high = np.clip(place[p:], line.first[machine], line.last[machine])
    span = line.day[high] - line.day[low]
    part = np.divide(day - line.day[low], span, out=np.zeros(day.size), where=span > 0)
    return line.points_life[low] + np.clip(part, 0.0, 1.0) * (
        line.points_life[high] - line.points_life[low]
    )


def kind_use(
    facts: UseFacts, meters: MeterFacts, lesson: Lesson, levels: tuple[float, float] = NOMINAL
) -> KindUse:
    """Work out how machines are used, from their own meters and what the fleet taught."""
    group = lesson.group(facts.machines.machine_class[meters.machine])
    about = circumstances(facts, meters, group, lesson.months_of(group))
    cleaned, _ = cleaned_lives(meters, lesson.model.ceiling)
    outlook = look_ahead(lesson.model, cleaned, about)
    local = np.full(len(facts.machines), -1)
    local[meters.machine] = np.arange(meters.machine.size)
    return KindUse(
        meters=meters,
        local=local,
        lesson=lesson,
        about=about,
        cleaned=cleaned,
        offset=_offset(meters, cleaned),
        outlook=outlook,
        summary=summarise(lesson.model, outlook, cleaned, about),
        levels=levels,
    )


def _offset(meters: MeterFacts, cleaned: Cleaned) -> Floats:
    """Return the life of each machine at the start of its line, from its first good reading."""
    good = np.flatnonzero(cleaned.accepted)
    machine, day = meters.readings.machine[good], meters.readings.day[good]
    order = np.lexsort((day, machine))
    start = good[order]
    which, first = np.unique(machine[order], return_index=True)
    offset = meters.base.copy()
    rows = start[first]
    offset[which] = meters.life[rows] - cleaned.life[rows]
    return offset
