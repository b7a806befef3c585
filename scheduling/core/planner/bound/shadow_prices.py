"""What one more hour of a mechanic's day, or one more bay on a day, would save.

At the prices of the bound (`coupling.Prices`) every mechanic-day takes its cheapest pattern.  With
an hour more the cheapest pattern is cheaper by the worth of that hour:

    worth[d, w] = v[d, w](regular, longest) - v[d, w](regular + 1 h, longest + 1 h)

where v is the least price of a pattern (`pricing`).  A bay's worth is its price in the programme.
Both are first-order figures: they hold for the first hour or bay while nothing else changes.
"""

from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.planner.problem import Floats

from .bound import Bound
from .coupling import Prices
from .pricing import Pricer

HALVES = 2
"""Half bays in a bay."""


@dataclass(frozen=True, slots=True)
class ShadowPrices:
    """Money saved by one more hour (H, W) of each of `mechanics` (ids), or one bay-day (H,).

    Zero where nobody works.
    """

    mechanics: tuple[str, ...]
    hour: Floats
    bay: Floats


def shadow_prices_of(bound: Bound) -> ShadowPrices | None:
    """Return what hours and bays are worth, or None while the bound has no prices."""
    if bound.prices is None:
        return None
    case = bound.rows.case
    hour = np.zeros(case.longest.shape)
    saved = _saved_by_an_hour(bound, bound.prices)
    for n, spots in enumerate(bound.pricer.lanes.spots):
        for day, w in spots:
            hour[day, w] = saved[n]
    # Prices of upper limits are 0 or below; what is saved is their opposite.
    return ShadowPrices(tuple(m.id for m in case.mechanics), hour, -HALVES * bound.prices.bay)


def _saved_by_an_hour(bound: Bound, prices: Prices) -> Floats:
    """Return by how much each lane's best pattern is cheaper with an hour more, (N,)."""
    case = bound.rows.case
    more = case.scale * (case.longest > 0)
    # Both limits move, as the hour that is added is regular time and not overtime.
    longer = replace(case, regular=case.regular + more, longest=case.longest + more)
    longer_days = Pricer(replace(bound.rows, case=longer), bound.pricer.lanes)
    (pricer, reduced), hour = bound.priced(prices), bound.hour(prices)
    now, then = pricer.best(reduced)[0], longer_days.charged(hour).best(reduced)[0]
    # The shop has an hour more on that day as well, for second persons and work of several days.
    shared = -hour[bound.pricer.days]
    # A mechanic-day may also stay empty, at 0. The longer day may lie on a coarser grid and then
    # look dearer by a rounding; an hour more never does harm, hence the outer 0.
    return np.maximum(0.0, shared + np.minimum(0.0, now) - np.minimum(0.0, then))
