"""When each line would fall due, as a night sees it: three days, a hard line's last day."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import HORIZON, first_of_days
from scheduling.core.intervals import DuePoints
from scheduling.core.replay.foresight import Foresight
from scheduling.core.replay.past_shop import Floats, PastShop

LONGEST_PAST = 60.0
"""Days; how long ago something fell due hardly matters beyond this."""

USUAL_LENGTH = 365.0
"""Days that an interval is taken to last where nothing tells."""

FAR_DAYS = HORIZON + 10.0
"""Days ahead that stand for "beyond the forecast"."""


@dataclass(frozen=True)
class DueThen:
    """days: early, middle, late, from the night, (l, 3), never falling; limit: last day on which
    a hard line may be done, inf for none, (l,); length: about how long each interval lasts, (l,).
    """

    days: Floats
    limit: Floats
    length: Floats


def due_then(
    shop: PastShop, points: DuePoints, night: int, foresight: Mapping[str, Foresight]
) -> DueThen:
    """Return how each line stands on a night."""
    lines, today = shop.lines, shop.first_day + night
    count = len(lines)
    meter, closes = np.full((count, 3), np.inf), np.full(count, np.inf)
    past, rates = np.zeros(count), np.full(count, np.nan)
    for kind, seen in foresight.items():
        at = np.flatnonzero((lines.kind == kind) & (seen.local[lines.machine] >= 0))
        machine = lines.machine[at]
        number = seen.local[machine]
        meter[at] = seen.days_to(machine, points.due_life[at])
        rates[at] = seen.rate[number]
        hard = at[points.hard[at]]
        closes[hard] = seen.days_to(lines.machine[hard], points.closes_life[hard])[:, 0]
        beyond = seen.last_life[number] - points.due_life[at]
        past[at] = np.nan_to_num(np.maximum(beyond, 0.0) / np.maximum(rates[at], 1e-6))
    due, closing = _from(points.due_day, today), _from(points.closes_day, today)
    calendar = np.where(points.due_at_once, 0.0, np.where(due <= HORIZON, due, np.nan))
    days = np.minimum(first_of_days(meter, np.maximum(calendar, 0.0)), FAR_DAYS)
    past = np.minimum(np.fmax(past, -np.nan_to_num(due)), LONGEST_PAST)
    days = np.where((days[:, 1] <= 0)[:, None], np.minimum(days, -past[:, None]), days)
    limit = np.where(points.hard, np.fmin(closing, closes - 1.0), np.inf)
    length = np.fmin(lines.length, lines.every / np.maximum(rates, 1e-6))
    usable = (length >= 1) & (length < 3650)
    return DueThen(
        np.maximum.accumulate(days, axis=1), limit, np.where(usable, length, USUAL_LENGTH)
    )


def _from(day: np.ndarray, today: int) -> Floats:
    """Return days from a night, NaN for no day."""
    return np.where(np.isnat(day), np.nan, day.astype(np.int64) - today)
