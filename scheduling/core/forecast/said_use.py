"""Days of hire of which the customer said how long the machine is to run.

Where h units a day are said for a coming day that stands booked, that day weighs

    w = η h / r + (1 − η) w₀

with r the machine's mean use per effective day, η the chance that the promise is kept (`HONOUR`)
and w₀ what the day would weigh by the calendar alone, as no more than a usual one: a promise that
is not kept leaves the machine in the yard, or lets it to another.  Of several promises of one day
the longest use counts.  (Own derivation: use is the rate times the weights added up.)
"""

import numpy as np

from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.forecast.hire_days import HISTORY, HONOUR, Hires
from scheduling.core.usage import DayWeights, Floats

MOST_A_DAY = 60.0
"""Weight of a day beyond which no machine is believed to run: guards a rate near nought."""


def weights_as_said(
    weights: DayWeights | None, hires: Hires | None, rate: Floats, origin: float
) -> DayWeights | None:
    """Return day weights in which coming booked days count with the use that was said for them.

    Args:
        weights: what each day may bring without that, shape (m, days) or (1, days); None: alike.
        hires: bookings known at the origin, with what was said; None where there are none.
        rate: r, expected use per effective day, units per day, shape (m,).
        origin: start of today, days since 1970-01-01.

    Returns:
        The same weights where nothing was said of a coming day.

    """
    if hires is None or hires.said is None:
        return weights
    today = int(np.floor(origin))
    told = np.flatnonzero(~np.isnan(hires.said) & (hires.last >= today) & (rate[hires.machine] > 0))
    told = told[hires.first[told] <= today + HORIZON]
    if not told.size:
        return weights
    use = np.full((rate.size, HORIZON + 1), np.nan)
    for row in told.tolist():
        first, last = max(hires.first[row] - today, 0), hires.last[row] - today + 1
        use[hires.machine[row], first:last] = np.fmax(
            use[hires.machine[row], first:last], hires.said[row]
        )
    base = _from_history(weights, rate.size, today)
    coming = base[:, HISTORY:]
    wanted = HONOUR * use / rate[:, None] + (1 - HONOUR) * np.minimum(coming, 1.0)
    base[:, HISTORY:] = np.where(np.isnan(use), coming, np.minimum(wanted, MOST_A_DAY))
    return DayWeights(today - HISTORY, base)


def _from_history(weights: DayWeights | None, machines: int, today: int) -> Floats:
    """Return the weight of each day from HISTORY days ago to the horizon, (m, days)."""
    days = HISTORY + HORIZON + 1
    if weights is None:
        return np.ones((machines, days))
    day = np.broadcast_to(today - HISTORY + np.arange(days, dtype=np.float64), (machines, days))
    machine = np.broadcast_to(np.arange(machines)[:, None], (machines, days))
    return np.maximum(weights.between(machine, day, day + 1.0).astype(np.float64), 0.0)
