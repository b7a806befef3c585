"""What a visit takes besides the hours and the bay of its mechanic's first day.

A second person's hours, and for work over several days the hours and the bay of the later ones.
The patterns of the programme (`pricing`) are single mechanic-days and do not see it, so it is
counted against the bays and against the hours of the whole shop on that day.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from scheduling.core.planner.problem import Floats, Ints
from scheduling.core.planner.visits import Visits

Entry = tuple[int, float, float]
"""A day, with the half bays and the hours that a visit takes on it."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Entries of the visits of a table, one for each visit and day.

    Entry e: the visit of row `row[e]` that begins on day `first[e]` with mechanic `lead[e]` takes
    `halves[e]` half bays and `hours[e]` of anybody on `day[e]`, beyond what the table counts.
    """

    row: Ints
    first: Ints
    lead: Ints
    day: Ints
    halves: Floats
    hours: Floats
    of_visit: dict[tuple[int, int, int], list[Entry]] = field(init=False)

    def __post_init__(self) -> None:
        found: dict[tuple[int, int, int], list[Entry]] = defaultdict(list)
        visits = zip(self.row.tolist(), self.first.tolist(), self.lead.tolist(), strict=True)
        taken = zip(self.day.tolist(), self.halves.tolist(), self.hours.tolist(), strict=True)
        for visit, entry in zip(visits, taken, strict=True):
            found[visit].append(entry)
        # The dataclass is frozen, and this is an index of its other fields.
        object.__setattr__(self, "of_visit", dict(found))

    def of(self, rows: Sequence[int], day: int, mechanic: int) -> list[Entry]:
        """Return what visits that begin on a day with a mechanic take elsewhere."""
        if not self.of_visit:
            return []
        return [entry for row in rows for entry in self.of_visit.get((row, day, mechanic), ())]

    def told_by(self, day: int, mechanic: int) -> bytes:
        """Return what tells a mechanic-day from others: its visits and what they take."""
        here = (self.first == day) & (self.lead == mechanic)
        columns = (self.row, self.day, self.halves, self.hours)
        return np.stack([column[here].astype(float) for column in columns]).tobytes()

    def on(self, days: Ints, mechanics: Ints) -> "LaneEntries":
        """Return the entries of visits that begin on the given mechanic-days, both (N,)."""
        width = int(max(self.lead.max(initial=0), mechanics.max(initial=0))) + 1
        spots = days * width + mechanics
        order = np.argsort(spots, kind="stable")
        wanted = self.first * width + self.lead
        at = np.searchsorted(spots[order], wanted)
        lane = order[np.minimum(at, len(order) - 1)] if len(order) else np.zeros_like(at)
        here = spots[lane] == wanted if len(order) else np.zeros(len(at), dtype=bool)
        return LaneEntries(
            self.row[here], lane[here], self.day[here], self.halves[here], self.hours[here]
        )


@dataclass(frozen=True, slots=True)
class LaneEntries:
    """Entries of visits that begin on some mechanic-days: their row, `lane`, day, halves, hours."""

    row: Ints
    lane: Ints
    day: Ints
    halves: Floats
    hours: Floats

    def pay(self, paid: Floats, bay: Floats, hour: Floats) -> None:
        """Add what limits pay to `paid`, (R, N), at the prices of days, both (H,)."""
        money = self.halves * bay[self.day] + self.hours * hour[self.day]
        np.add.at(paid, (self.row, self.lane), money)


def elsewhere_of(machines: Sequence[Visits], starts: Ints, scale: float) -> Elsewhere:
    """Return what the visits of a table take elsewhere; machine k begins at row `starts[k]`.

    `scale` are the ticks of an hour.
    """
    parts = [np.zeros((0, 6))]
    for v, start in zip(machines, starts.tolist(), strict=True):
        entries = _entries(v, scale)
        entries[:, 0] += start
        parts.append(entries)
    row, first, lead, day, halves, hours = np.concatenate(parts).T
    row, first, lead, day = (column.astype(np.int64) for column in (row, first, lead, day))
    return Elsewhere(row, first, lead, day, halves, hours)


def _entries(visits: Visits, scale: float) -> Floats:
    """Return row, first day, lead, day, half bays and hours of one machine's entries, (E, 6)."""
    uses = visits.uses
    if uses is None:
        return np.zeros((0, 6))
    taken = [*_hours(visits, scale), *_bays(visits)]
    visit, day, halves, hours = np.concatenate([np.zeros((0, 4)), *taken]).T
    row, first, crew = np.unravel_index(visit.astype(np.int64), uses.shape)
    lead = visits.lead[crew]
    # Whoever is second, a visit takes the same; the least of all crews of one mechanic is what
    # each of them takes at least.
    order = np.lexsort((crew, day, lead, first, row))
    table = np.stack([row, first, lead, day, crew, halves, hours], axis=1)[order].astype(float)
    by_crew = _summed(table, 5)
    return _least(by_crew)


def _hours(visits: Visits, scale: float) -> list[Floats]:
    uses = visits.uses
    if uses is None:
        return []
    row, first, crew = np.unravel_index(uses.visit, uses.shape)
    counted = np.where(
        (uses.day == first) & (uses.who == visits.lead[crew]), visits.time_low[row], 0
    )
    # A tick less, as those of a day are rounded up, which a bound may not rely on.
    hours = np.maximum(0, uses.time - counted - 1) / scale
    return [np.stack([uses.visit, uses.day, np.zeros(len(hours)), hours], axis=1)[hours > 0]]


def _bays(visits: Visits) -> list[Floats]:
    uses = visits.uses
    if uses is None:
        return []
    row, first, _ = np.unravel_index(uses.bay_visit, uses.shape)
    halves = uses.halves - np.where(uses.bay_day == first, visits.halves[row], 0)
    table = np.stack([uses.bay_visit, uses.bay_day, halves, np.zeros(len(halves))], axis=1)
    return [table[halves > 0]]


def _summed(table: Floats, keys: int) -> Floats:
    """Return sorted rows with equal first `keys` columns as one, the other columns added up."""
    edges = _edges(table[:, :keys])
    sums = np.add.reduceat(table[:, keys:], edges) if len(edges) else table[:, keys:]
    return np.concatenate([table[edges, :keys], sums], axis=1)


def _least(by_crew: Floats) -> Floats:
    """Return the least of all crews of a row, first day and lead, for each day: (E, 6).

    Columns of `by_crew`: row, first, lead, day, crew, half bays, hours.
    """
    edges = _edges(by_crew[:, :4])
    if not len(edges):
        return np.zeros((0, 6))
    least = np.minimum.reduceat(by_crew[:, 5:], edges)
    return np.concatenate([by_crew[edges, :4], least], axis=1)


def _edges(keys: Floats) -> Ints:
    if not len(keys):
        return np.zeros(0, dtype=np.int64)
    changes = (np.diff(keys, axis=0) != 0).any(axis=1)
    return np.concatenate([[0], np.flatnonzero(changes) + 1]).astype(np.int64)
