"""Life: a machine's total use on one kind of meter, across meters fitted one after another."""

import numpy as np

from scheduling.core.usage.flat_arrays import Flags, Floats, Ints, previous_in_run


def life_line(machine: Ints, day: Floats, step: Floats, known: Flags) -> Floats:
    """Add the steps of each machine up to its life since its first point.

    A step that is not known (a swap without record) is filled in at the machine's own mean
    rate, or at the fleet's where the machine has none: a gap counted as nothing would let a
    service fall due too late.

    Args:
        machine: machine of each point; points sorted by machine and day; shape (p,).
        day: days, shape (p,).
        step: use since the machine's point before, in the meter's unit, shape (p,).
        known: the step is known; False for a machine's first point, shape (p,).

    Returns:
        Life at each point, never falling, 0 at a machine's first point; shape (p,).

    """
    first = previous_in_run(machine) < 0
    days = np.where(first, 0.0, np.diff(day, prepend=day[:1]))
    # from the known steps alone, or a guess would feed on itself
    guess = _mean_rates(machine, days, np.where(known, step, 0.0), known)[machine] * days
    taken = np.where(known, step, guess)
    # one sum over all machines less each one's own start is quicker than a sum for each
    total = np.cumsum(np.where(first, 0.0, taken))
    start = np.maximum.accumulate(np.where(first, np.arange(machine.size), 0))
    return running_max(machine, total - total[start])


def _mean_rates(machine: Ints, days: Floats, step: Floats, known: Flags) -> Floats:
    """Return each machine's use per day over its known steps, else the fleet's; shape (m,)."""
    n = int(machine.max(initial=-1)) + 1
    use = np.bincount(machine, step, n)
    time = np.bincount(machine, np.where(known, days, 0.0), n)
    fleet = use.sum() / time.sum() if time.sum() > 0 else 0.0
    rate = np.full(n, fleet)
    np.divide(use, time, out=rate, where=time > 0)
    return np.maximum(rate, 0.0)


def running_max(run: Ints, values: Floats) -> Floats:
    """Return the largest value so far within each run; rows sorted by run; shape (n,).

    Done on ranks: a later run ranks above an earlier one, so one pass serves all runs exactly.
    """
    # a running maximum of plain values would carry one machine's life over into the next
    order = np.lexsort((values, run))
    rank = np.empty(run.size, dtype=np.int64)
    rank[order] = np.arange(run.size)
    return values[order[np.maximum.accumulate(rank)]] if run.size else values.copy()
