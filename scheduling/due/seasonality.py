"""What each day may bring: seasons that the owner states, months that the past teaches, storage.

Weights enter both ways: use is learnt per effective day of the past, and spread over effective
days to come, so that a machine read in haying is not thought to run so hard in winter.
"""

import numpy as np

from scheduling.core.forecast import HORIZON
from scheduling.core.usage import DayWeights
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.meter_arrays import MeterFacts
from scheduling.facts.stated_seasons import days_of_year, season_weights
from scheduling.facts.yard_days import Floats, Ints

STORED_BACK = 400
"""Days of past storage that are looked at; older use hardly counts any more."""

SEASONS_BACK = 760
"""Days of past seasons that are looked at: two years and a month."""


def day_weights(
    facts: UseFacts, meters: MeterFacts, months: Floats | None = None
) -> DayWeights | None:
    """Return the weights of the machines with one kind of meter; None where all days are alike.

    months: weight of each calendar month by machine, as learnt, shape (k, 12); None for flat.
    """
    weights = _seasons(facts, meters, months)
    spans = _stored(facts, meters)
    if not spans:
        return weights
    if weights is None:
        start = min(first for _, first, _ in spans)
        weight = np.ones((meters.machine.size, HORIZON + 1 - start))
    else:
        start = weights.first_day
        shape = (meters.machine.size, weights.weight.shape[1])
        weight = np.broadcast_to(weights.weight, shape).copy()
    for row, first, end in spans:
        weight[row, max(first - start, 0) : max(end - start, 0)] = 0.0
    return DayWeights(start, weight)


def _seasons(facts: UseFacts, meters: MeterFacts, months: Floats | None) -> DayWeights | None:
    """Return stated seasons times learnt months."""
    rows, count = meters.machine, SEASONS_BACK + HORIZON + 1
    weight = season_weights(facts.seasons, facts.machines, rows, -SEASONS_BACK, count)
    if months is not None:
        learnt = _by_month(facts, rows, months, count)
        weight = learnt if weight is None else weight * learnt
    return None if weight is None else DayWeights(-SEASONS_BACK, weight)


def _by_month(facts: UseFacts, rows: Ints, months: Floats, count: int) -> Floats:
    """Spread weights of months over days, shape (k, count)."""
    weight = np.ones((rows.size, count))
    todays = facts.machines.today[rows]
    for today in np.unique(todays).tolist():
        month = days_of_year(today - SEASONS_BACK, count) // 100 - 1
        here = np.flatnonzero(todays == today)
        weight[here] = months[here][:, month]
    return weight


def _stored(facts: UseFacts, meters: MeterFacts) -> list[tuple[int, int, int]]:
    """Return times in storage as number of the machine, first day and the day after the last."""
    local = np.full(len(facts.machines), -1)
    local[meters.machine] = np.arange(meters.machine.size)
    spans = []
    for machine, first, last in facts.storage:
        today = int(facts.machines.today[machine])
        end = HORIZON + 1 if last is None else last - today + 1
        if local[machine] >= 0 and end > -STORED_BACK and first - today <= HORIZON:
            spans.append((int(local[machine]), max(first - today, -STORED_BACK), end))
    return spans
