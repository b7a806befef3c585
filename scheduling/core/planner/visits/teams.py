"""Visits of a machine that take a second person, or several days, priced like all others.

A crew is a mechanic, alone or with a second person.  A visit has a row, a first day and a crew;
its last day follows from the hours that the mechanic has (`span`).  Overdue, waste, limits and
bookings are judged on the last day, downtime on every day from the first to the last.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Case, Flags, Floats, Ints, Task, ticks

from .inside import Inside
from .span import last_days, lasts_days, room_of
from .use_entries import Table, uses_of
from .uses import Uses


@dataclass(frozen=True, slots=True)
class Teams:
    """Crews `lead` and `second` (C,), -1 for nobody; `last` day, `cost` (R, H, C); `bare` (R, H).

    `first_time` (R,) is the least that a visit takes of its mechanic's first day, in ticks,
    rounded down.
    """

    lead: Ints
    second: Ints
    last: Ints
    cost: Floats
    bare: Floats
    first_time: Ints
    uses: Uses


def needs_teams(tasks: Sequence[Task]) -> bool:
    """Tell whether some visit of `tasks` may take more than one mechanic on one day."""
    return lasts_days(tasks) or any(task.second is not None for task in tasks)


def teams_of(case: Case, inside: Inside) -> Teams:
    """Return the visits of a machine by row, first day and crew."""
    rooms = np.array([room_of(case.problem, inside.machine, m) for m in case.mechanics])
    rooms = rooms.reshape(len(case.mechanics), case.days)
    last = _last(case, inside, rooms)
    bare = np.where(last < case.days, _money(case, inside, last), np.inf)
    cost = bare + np.tensordot(inside.member, inside.change, 1)
    cost[inside.forbidden | _barred(case, inside, last)] = np.inf
    lead, second = _crews(case, inside.tasks)
    crewed = cost[:, :, lead]
    crewed[~_crew_may(case, inside, lead, second)] = np.inf
    crew_last = last[:, :, lead]
    return Teams(
        lead=lead,
        second=second,
        last=crew_last,
        cost=crewed,
        bare=bare.min(axis=2, initial=np.inf),
        first_time=_first_time(case, inside, rooms, cost),
        uses=uses_of(case, inside, Table(rooms, crew_last, np.isfinite(crewed), lead, second)),
    )


def _several(inside: Inside) -> Flags:
    return np.asarray(inside.member @ np.array([t.several_days for t in inside.tasks]) > 0)


def _last(case: Case, inside: Inside, rooms: Floats) -> Ints:
    """Return (R, H, W): the last day of a visit; H where it has no end."""
    shape = (len(inside.member), case.days, len(case.mechanics))
    last = np.broadcast_to(np.arange(case.days)[None, :, None], shape).copy()
    for row in np.flatnonzero(_several(inside)):
        for w, room in enumerate(rooms):
            last[row, :, w] = last_days(room, float(inside.hours[row]))
    return last


def _money(case: Case, inside: Inside, last: Ints) -> Floats:
    """Return (R, H, W): fixed money, overdue and waste on the last day, and downtime."""
    first = np.arange(case.days)[None, :, None]
    by_row = inside.member.astype(float) @ inside.timing
    timing = np.array([row[ends] for row, ends in zip(by_row, last, strict=True)])
    demand = np.array(inside.machine.demand)
    # A running sum of demand turns the downtime of every span into one subtraction.
    so_far = np.concatenate([[0.0], np.cumsum(demand)])
    share = np.broadcast_to(inside.halves[:, None, None] / 2, last.shape)
    short = share * demand[None, :, None]
    long = so_far[np.minimum(last + 1, case.days)] - so_far[first]
    down = inside.machine.day_rate * np.where(last > first, long, short)
    return np.asarray(timing.reshape(last.shape) + inside.fixed[:, None, None] + down)


def _barred(case: Case, inside: Inside, last: Ints) -> Flags:
    """Return (R, H, W): visits that end too late, or touch a booking on the way."""
    limits = [case.days - 1 if t.limit_day is None else t.limit_day for t in inside.tasks]
    limit = np.where(inside.member, np.array(limits), case.days - 1).min(axis=1, initial=case.days)
    out = np.zeros(case.days + 1, dtype=np.int64)
    for booking in inside.machine.bookings:
        # Marked and not added, as bookings may overlap; the running sum then tells how many booked
        # days lie in any span.
        out[max(0, booking.first_day) + 1 : max(0, booking.last_day + 1) + 1] = 1
    so_far, first = np.cumsum(out), np.arange(case.days)[None, :, None]
    touched = so_far[np.minimum(last + 1, case.days)] > so_far[first]
    late = (last >= case.days) | (last > limit[:, None, None])
    return np.asarray(touched | late)


def _crews(case: Case, tasks: Sequence[Task]) -> tuple[Ints, Ints]:
    """Return lead and second of each crew: every mechanic alone, then the pairs of use."""
    skills = {t.second.skill for t in tasks if t.second is not None}
    helpers = [w for w, m in enumerate(case.mechanics) if skills & m.skills]
    able = [w for w, m in enumerate(case.mechanics) if {t.skill for t in tasks} & m.skills]
    pairs = [(w, v) for w in able for v in helpers if v != w]
    # Alone first and for everybody, so that the crew's index is the mechanic's wherever nobody
    # second is needed.
    alone = [(w, -1) for w in range(len(case.mechanics))]
    lead, second = np.array([*alone, *pairs], dtype=np.int64).reshape(-1, 2).T
    return lead, second


def _crew_may(case: Case, inside: Inside, lead: Ints, second: Ints) -> Flags:
    """Return (R, H, C): whether the crew has a second person exactly where the row needs one."""
    pair = second >= 0
    able = np.ones((len(inside.tasks), len(lead)), dtype=bool)
    for i, task in enumerate(inside.tasks):
        if task.second is not None:
            held = [task.second.skill in case.mechanics[w].skills for w in second]
            able[i] = pair & np.array(held, dtype=bool)
    unable = inside.member.astype(float) @ ~able > 0
    needs = inside.member @ np.array([t.second is not None for t in inside.tasks]) > 0
    fits = ~unable & (needs[:, None] == pair[None])
    # The second person comes on the first day alone.
    there = (case.longest[:, second] > 0) | ~pair
    return np.asarray(fits[:, None, :] & there[None])


def _first_time(case: Case, inside: Inside, rooms: Floats, cost: Floats) -> Ints:
    # Long work takes no more of its first day than it needs or than the shortest day on which it
    # may begin has; the bound counts no other day of it.
    begins = np.isfinite(cost) & (rooms.T > 0)[None]
    least = np.where(begins, rooms.T[None], np.inf).min(axis=(1, 2), initial=np.inf)
    hours = np.where(_several(inside), np.minimum(inside.hours, least), inside.hours)
    return np.array([ticks.down(h, case.scale) for h in hours], dtype=np.int64)
