"""How much an old interval of use still says about the use to come."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.flat_arrays import Floats
from scheduling.core.usage.use_between_readings import UseIntervals


@dataclass(frozen=True)
class Memory:
    """Two-speed memory: v(age) = α·2^(−age/h) + (1 − α).

    The fast part follows a machine whose work changes; the slow part never quite forgets what
    it did before. A weighted sum of this kind is exponential smoothing in continuous time
    (R. G. Brown, Smoothing, Forecasting and Prediction of Discrete Time Series, 1963).

    Attributes:
        half_life: h, days after which the fast part counts half.
        fast_share: α, share of the fast part, 0 to 1.

    """

    half_life: float = 60.0
    fast_share: float = 0.95

    def __post_init__(self) -> None:
        if not self.half_life > 0:
            raise ValueError(
                f"The memory's half-life is {self.half_life} days; it must be above 0."
            )
        if not 0 <= self.fast_share <= 1:
            raise ValueError(f"The memory's fast share is {self.fast_share}; it lies in 0 to 1.")


@dataclass(frozen=True)
class Remembered:
    """What is remembered of each machine; arrays of shape (m,).

    Attributes:
        use: X = Σ w x, weighted use in the meter's unit.
        days: N = Σ w e, weighted effective days.

    """

    use: Floats
    days: Floats


def memory_weights(start: Floats, end: Floats, origin: float, memory: Memory) -> Floats:
    """Return the mean of v(age) over each interval, w = [∫ v]/τ, in closed form; shape (k,).

    With ages a = origin − end and b = origin − start in days (none counted below 0):
    w = α·(h/ln 2)·(2^(−a/h) − 2^(−b/h))/(b − a) + (1 − α).
    """
    # a reading later on the day of the question has age 0: it is news, and not from the future
    young, old = np.maximum(origin - end, 0.0), np.maximum(origin - start, 0.0)
    span, h = old - young, memory.half_life
    fading = np.exp2(-young / h)
    # Below a millionth of a half-life the mean is the value itself.
    long = span > 1e-6 * h
    drop = fading - np.exp2(-old / h)
    mean = np.where(long, h / np.log(2) * drop / np.where(long, span, 1.0), fading)
    return memory.fast_share * mean + (1 - memory.fast_share)


def remembered(intervals: UseIntervals, origin: float, memory: Memory) -> Remembered:
    """Add each machine's intervals up under the memory, shape (m,).

    Args:
        intervals: known use of m machines.
        origin: the day from which ages are counted, days since 1970-01-01.
        memory: how fast the past fades.

    """
    # use and days fade alike, so their ratio stays a rate, and the days say how much it is worth
    weight = memory_weights(intervals.start, intervals.end, origin, memory)
    machine, m = intervals.machine, intervals.n_machines
    return Remembered(
        use=np.bincount(machine, weight * intervals.use, m).astype(np.float64),
        days=np.bincount(machine, weight * intervals.days, m).astype(np.float64),
    )
