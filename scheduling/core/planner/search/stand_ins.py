"""Offer a visit to those alone who are as good for it as anybody.

Where one mechanic has no less left of a day than another, at prices no higher, the other need not
be tried: to an exact solver each is one more choice without a difference (symmetry).  A few of the
best stay for each visit, as several visits of a day may need several people.
"""

from collections.abc import Sequence

import numpy as np

from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Flags
from scheduling.core.planner.visits import Visits

STAND_INS = 3
"""Mechanics no worse than another on a day for whom that other is left out."""


class StandIns:
    """Knows for each machine who asks no more than whom on which day; looked up once a machine."""

    def __init__(self, machines: list[Visits]) -> None:
        self.machines = machines
        self.prices: dict[int, tuple[Flags, Flags]] = {}

    def thinned(self, draft: Draft, group: Sequence[int], keep: list[Flags]) -> list[Flags]:
        """Return `keep` without the visits of a group's machines that others stand in for.

        Flags of shape (R, H, C), one array a machine.  Visits by a crew or over several days are
        left as they are.
        """
        no_less, as_much = no_less_room(draft)
        earlier = np.triu(np.ones(as_much.shape[1:], dtype=bool), 1)
        found = list(keep)
        for k in group:
            if self.machines[k].uses is None:
                no_dearer, same = self._prices(k)
                # Of two who are alike the first stands in for the second.
                better = no_less & no_dearer & (earlier | ~(as_much & same))
                found[k] = keep[k] & (better.sum(axis=1) < STAND_INS)[None]
        return found

    def _prices(self, k: int) -> tuple[Flags, Flags]:
        """Return, in shape (H, W, W), whether one asks no more than another, and the same."""
        if k not in self.prices:
            cost = self.machines[k].cost
            no_dearer: Flags = np.all(cost[:, :, :, None] <= cost[:, :, None, :], axis=0)
            self.prices[k] = no_dearer, no_dearer & no_dearer.swapaxes(1, 2)
        return self.prices[k]


def no_less_room(draft: Draft) -> tuple[Flags, Flags]:
    """Return, in shape (H, W, W), whether one has no less left than another, and just as much."""
    case = draft.case
    dear = np.unique(case.overtime, return_inverse=True)[1]
    told = np.stack(
        [
            case.regular - draft.used,
            case.longest - draft.used,
            np.broadcast_to(-dear, draft.used.shape),
            *(draft.trips > 0).astype(np.int64),
        ]
    )
    no_less: Flags = np.all(told[:, :, :, None] >= told[:, :, None, :], axis=0)
    return no_less, no_less & no_less.swapaxes(1, 2)
