"""What bears on use beside the meters: classes, bookings, seasons and storage, for the core."""

import numpy as np

from fleet.models import MeterKind
from scheduling.core.forecast import Hires, UseCircumstances
from scheduling.due.seasonality import day_weights
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.meter_arrays import MeterFacts
from scheduling.facts.yard_days import Floats, Ints, day_number

ORIGIN = 0.0
"""Days of use are counted from each yard's own today."""


MOST_A_DAY = {MeterKind.HOURS: 24.0, MeterKind.DISTANCE: 2_400_000.0, MeterKind.CYCLES: np.inf}
"""Use a day that no machine can exceed: the hours of a day, and those at 100 km/h."""


def circumstances(
    facts: UseFacts, meters: MeterFacts, group: Ints, months: Floats | None = None
) -> UseCircumstances:
    """Return the circumstances of the machines with one kind of meter.

    group: shape (k,); months: weight of each month by machine, as learnt, (k, 12), None for flat.
    """
    local = np.full(len(facts.machines), -1)
    local[meters.machine] = np.arange(meters.machine.size)
    weights = day_weights(facts, meters, months)
    most = MOST_A_DAY[MeterKind(meters.kind)]
    return UseCircumstances(group, ORIGIN, _hires(facts, local, meters), weights, most_a_day=most)


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
    said = None
    if meters.kind == MeterKind.HOURS and any(p.hours_a_day is not None for p in ours):
        said = np.array([np.nan if p.hours_a_day is None else p.hours_a_day for p in ours])
    return Hires(rows[:, 0], rows[:, 1] - today, rows[:, 2] - today, covered, said)
