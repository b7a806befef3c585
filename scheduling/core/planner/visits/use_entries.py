"""The entries of `uses`: whom and what each visit of a machine takes on each day of its span."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Case, Flags, Floats, Ints, closed_rule, ticks

from .inside import Inside
from .uses import Uses


@dataclass(frozen=True, slots=True)
class Table:
    """The visits by row, first day and crew: hours there are by mechanic, `rooms` (W, H), the
    `last` day and whether it is `allowed` (R, H, C), and the crews' `lead` and `second` (C,).
    """

    rooms: Floats
    last: Ints
    allowed: Flags
    lead: Ints
    second: Ints


@dataclass(frozen=True, slots=True)
class _Spans:
    """The V allowed visits: flat index, row, first and last day, and lead."""

    visit: Ints
    row: Ints
    first: Ints
    last: Ints
    lead: Ints

    def daily(self) -> tuple["_Spans", Ints]:
        """Return the visits repeated for every day from first to last, and those days."""
        length = self.last - self.first + 1
        which = np.repeat(np.arange(len(length)), length)
        start = np.repeat(np.cumsum(length) - length, length)
        return self.only(which), self.first[which] + np.arange(len(which)) - start

    def only(self, which: Ints) -> "_Spans":
        """Return the visits at the given places."""
        names = ("visit", "row", "first", "last", "lead")
        return _Spans(*(getattr(self, name)[which] for name in names))


def uses_of(case: Case, inside: Inside, table: Table) -> Uses:
    """Return what every allowed visit takes of mechanics, second persons and bays."""
    row, first, crew = (axis.astype(np.int64) for axis in np.nonzero(table.allowed))
    visit, last = np.flatnonzero(table.allowed), table.last[row, first, crew]
    # One entry for each day of each visit: what is worked and what bay is taken differ by day.
    daily, day = _Spans(visit, row, first, last, table.lead[crew]).daily()
    own = _own_time(case, inside, table, (daily, day))
    # Days on which the mechanic has no hours are passed over, but those of a one-day visit are
    # kept: they carry its hours even where regular time is 0.
    at_work = (table.rooms[daily.lead, day] > 0) | (daily.first == daily.last)
    pair = np.flatnonzero(table.second[crew] >= 0)
    visits = np.concatenate([daily.visit[at_work], visit[pair]])
    # Sorted by visit, so that one visit's entries are found by two binary searches.
    order = np.argsort(visits, kind="stable")
    bay = _opens(case, inside)[day]
    # A visit over several days keeps its bay: no other machine takes it for an afternoon.
    halves = np.where(daily.last > daily.first, 2, inside.halves[daily.row])
    rows, days, crews = table.allowed.shape
    return Uses(
        shape=(rows, days, crews),
        site=inside.site,
        visit=visits[order],
        day=np.concatenate([day[at_work], first[pair]])[order],
        who=np.concatenate([daily.lead[at_work], table.second[crew[pair]]])[order],
        time=np.concatenate([own[at_work], _second_time(case, inside)[row[pair]]])[order],
        bay_visit=daily.visit[bay],
        bay_day=day[bay],
        halves=halves[bay],
    )


def _own_time(case: Case, inside: Inside, table: Table, daily: tuple[_Spans, Ints]) -> Ints:
    """Return the ticks of the visit's mechanic on each day, without travel.

    A day that goes on takes all regular ticks; what overtime leaves free is counted on from the
    longest day, so that no rounding makes a whole day longer than it is.
    """
    spans, day = daily
    extra = [
        [ticks.down(m.overtime_on(d), case.scale) for m in case.mechanics] for d in range(case.days)
    ]
    whole = case.longest - np.array(extra, dtype=np.int64).reshape(case.longest.shape)
    travel = int(case.travel[inside.site]) if inside.site >= 0 else 0
    full = np.maximum(0, whole[day, spans.lead] - travel)
    done = np.cumsum(table.rooms, axis=1)
    before = (done - table.rooms)[spans.lead, spans.first]
    rest = inside.hours[spans.row] - ((done - table.rooms)[spans.lead, spans.last] - before)
    rest_ticks = np.ceil((rest - ticks.TOLERANCE) * case.scale).astype(np.int64)
    one_day = spans.first == spans.last
    return np.where(
        one_day, rest_ticks, np.where(day < spans.last, full, np.minimum(rest_ticks, full))
    )


def _second_time(case: Case, inside: Inside) -> Ints:
    """Return the ticks for which each row binds a second person, (R,)."""
    hours = np.array([t.second.hours if t.second else 0.0 for t in inside.tasks])
    return np.array([ticks.up(h, case.scale) for h in inside.member @ hours], dtype=np.int64)


def _opens(case: Case, inside: Inside) -> Flags:
    """Return the days on which a visit takes a bay: none at a ranch."""
    if inside.site >= 0:
        return np.zeros(case.days, dtype=bool)
    problem, machine = case.problem, inside.machine
    return np.array([closed_rule(problem, machine, d) is None for d in range(case.days)])
