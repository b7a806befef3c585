"""What bears on use beside the meters: classes, bookings and storage, as the core wants them."""

import numpy as np

from scheduling.arrays import UseFacts
from scheduling.core.forecast import HORIZON, Circumstances, DayWeights, Hires
from scheduling.loading.clock import Ints, day_number
from scheduling.loading.meters import MeterFacts

ORIGIN = 0.0
"""Days of use are counted from each yard's own today."""

STORED_BACK = 400
"""Days of past storage that are looked at; older use hardly counts any more."""


def circumstances(facts: UseFacts, meters: MeterFacts, group: Ints) -> Circumstances:
    """Return the circumstances of the machines with one kind of meter; group: shape (k,)."""
    local = np.full(len(facts.machines), -1)
    local[meters.machine] = np.arange(meters.machine.size)
    return Circumstances(group, ORIGIN, _hires(facts, local, meters), _rest(facts, local, meters))


def _hires(facts: UseFacts, local: Ints, meters: MeterFacts) -> Hires | None:
    """Return the bookings in days from today; None where none are kept."""
    ours = [promise for promise in facts.promises if local[promise.machine] >= 0]
    if not ours:
        return None
    rows = np.array(
        [(local[p.machine], day_number(p.first), day_number(p.last), p.machine) for p in ours],
        dtype=np.int64,
    )
    today = facts.machines.today[rows[:, 3]]
    covered = np.zeros(meters.machine.size, dtype=np.bool_)
    covered[rows[:, 0]] = True
    return Hires(rows[:, 0], rows[:, 1] - today, rows[:, 2] - today, covered)


def _rest(facts: UseFacts, local: Ints, meters: MeterFacts) -> DayWeights | None:
    """Return the weight of each day: 0 in storage, else 1; None where nothing is stored."""
    spans = []
    for machine, first, last in facts.storage:
        today = int(facts.machines.today[machine])
        end = HORIZON + 1 if last is None else last - today + 1
        if local[machine] >= 0 and end > -STORED_BACK:
            spans.append((local[machine], max(first - today, -STORED_BACK), end))
    if not spans:
        return None
    start = min(first for _, first, _ in spans)
    weight = np.ones((meters.machine.size, HORIZON + 1 - start))
    for row, first, end in spans:
        weight[row, max(first - start, 0) : max(end - start, 0)] = 0.0
    return DayWeights(start, weight)
