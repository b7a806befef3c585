"""Mechanic-days as lanes of the linear programme, equal ones taken together.

Mechanic-days with the same hours, overtime and visits at the same prices are one lane with their
number as its count: those of one day always, those of several days where no limit of a day (bays,
stock, bookings) tells them apart.  Were they not taken together, the programme would spend its
rounds on telling them apart (symmetry in column generation: Vance, Barnhart, Johnson, Nemhauser
1994, Comput. Optim. Appl. 3:111, doi 10.1007/BF01300970; from memory).
"""

from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.planner.problem import Case, Ints

from .coupling import Coupling
from .visit_table import VisitTable

Cell = tuple[int, int]
"""Day and mechanic index."""

MANY_LANES = 200
"""Lanes beyond which the preference of a standing plan for one of equal mechanics is given up."""


@dataclass(frozen=True, slots=True)
class Lanes:
    """N lanes: one mechanic-day each stands for its `spots`; `count` (N,) says how many."""

    spots: list[list[Cell]]
    days: Ints
    mechanics: Ints
    count: Ints
    of_spot: dict[Cell, int]

    @property
    def days_apart(self) -> bool:
        """Tell whether the mechanic-days of every lane are of one day."""
        return all(len({day for day, _ in group}) == 1 for group in self.spots)


def lanes_of(rows: VisitTable, coupling: Coupling) -> Lanes:
    """Return the lanes of all mechanic-days on which somebody works."""
    # Taking equal mechanic-days as one loses nothing: by symmetry the mean of all orders of them is
    # a solution of the programme of the same money.
    case, merge = rows.case, not _told_apart(rows, coupling)
    groups: dict[object, list[Cell]] = {}
    for day, w in _worked(case):
        told_by = rows.elsewhere.told_by(day, w)
        key: object = (_room(case, day, w), rows.cost[:, day, w].tobytes(), told_by)
        # Compared by their bytes: prices that differ by a cent are different mechanic-days.
        groups.setdefault(key if merge else (day, key), []).append((day, w))
    spots = list(groups.values())
    first = np.array([group[0] for group in spots], dtype=np.int64).reshape(-1, 2)
    return Lanes(
        spots=spots,
        days=first[:, 0],
        mechanics=first[:, 1],
        count=np.array([len(group) for group in spots], dtype=np.int64),
        of_spot={spot: n for n, group in enumerate(spots) for spot in group},
    )


def levelled(rows: VisitTable, coupling: Coupling) -> VisitTable:
    """Return the visits with equal mechanics at equal prices, if there would be many lanes.

    Where a plan stands, a visit is a little cheaper with the mechanic who has it than with
    another of the same hours and skills.  All of those are given the least of their prices, which
    is never more than what a plan pays, so the bound holds.
    """
    if len(lanes_of(rows, coupling).count) <= MANY_LANES:
        return rows
    cost = rows.cost.copy()
    alike: dict[object, list[Cell]] = defaultdict(list)
    for day, w in _worked(rows.case):
        able = np.isfinite(cost[:, day, w]).tobytes()
        told_by = rows.elsewhere.told_by(day, w)
        alike[day, _room(rows.case, day, w), able, told_by].append((day, w))
    for spots in alike.values():
        day, group = spots[0][0], [w for _, w in spots]
        cost[:, day, group] = cost[:, day, group].min(axis=1)[:, None]
    return replace(rows, cost=cost)


def _worked(case: Case) -> list[Cell]:
    return [(int(day), int(w)) for day, w in np.argwhere(case.longest > 0)]


def _room(case: Case, day: int, w: int) -> tuple[int, int, float]:
    """Return hours with and without overtime (ticks), and the price of overtime."""
    return int(case.longest[day, w]), int(case.regular[day, w]), float(case.overtime[w])


def _told_apart(rows: VisitTable, coupling: Coupling) -> bool:
    """Tell whether a limit of single days can bind."""
    ordered = any(v.precedence is not None for v in rows.machines)
    most_bays = 2 * int((rows.site < 0).sum())
    days_apart = len(coupling.stock_day) or len(coupling.block_day) or len(rows.elsewhere.row)
    # Where even all machines of the yard together fill no day's bays, bays tell no days apart.
    return bool(ordered or days_apart or most_bays > rows.case.bays.min())
