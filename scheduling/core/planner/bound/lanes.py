"""Mechanic-days as lanes of the linear programme, equal ones taken together.

Two mechanic-days with the same hours, overtime and visits at the same prices are one lane with
count 2, where no limit of a day (bays, stock, bookings) tells them apart.  In a real shop hardly
any are equal; where many are, the programme would spend its rounds on telling them apart.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Ints

from .coupling import Coupling
from .visit_table import VisitTable

Cell = tuple[int, int]
"""Day and mechanic index."""


@dataclass(frozen=True, slots=True)
class Lanes:
    """N lanes: one mechanic-day each stands for its `spots`; `count` (N,) says how many."""

    spots: list[list[Cell]]
    days: Ints
    mechanics: Ints
    count: Ints
    of_spot: dict[Cell, int]


def lanes_of(rows: VisitTable, coupling: Coupling) -> Lanes:
    """Return the lanes of all mechanic-days on which somebody works."""
    # Taking equal mechanic-days as one loses nothing: by symmetry the mean of all orders of them is
    # a solution of the programme of the same money.
    case, merge = rows.case, not _told_apart(rows, coupling)
    groups: dict[object, list[Cell]] = {}
    for day, w in np.argwhere(case.longest > 0).tolist():
        key: object = (day, w)
        if merge:
            hours = (int(case.longest[day, w]), int(case.regular[day, w]), case.overtime[w])
            # Compared by their bytes: prices that differ by a cent are different mechanic-days.
            key = (*hours, rows.cost[:, day, w].tobytes())
        groups.setdefault(key, []).append((day, w))
    spots = list(groups.values())
    first = np.array([group[0] for group in spots], dtype=np.int64).reshape(-1, 2)
    return Lanes(
        spots=spots,
        days=first[:, 0],
        mechanics=first[:, 1],
        count=np.array([len(group) for group in spots], dtype=np.int64),
        of_spot={spot: n for n, group in enumerate(spots) for spot in group},
    )


def _told_apart(rows: VisitTable, coupling: Coupling) -> bool:
    """Tell whether a limit of single days can bind."""
    ordered = any(v.precedence is not None for v in rows.machines)
    most_bays = 2 * int((rows.site < 0).sum())
    days_apart = len(coupling.stock_day) or len(coupling.block_day)
    # Where even all machines of the yard together fill no day's bays, bays tell no days apart.
    return bool(ordered or days_apart or most_bays > rows.case.bays.min())
