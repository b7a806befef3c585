"""How often the ranges held, by month and by class of machine, beside the simple average."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import numpy as np

from fleet.models import MachineClass, Shop
from scheduling.core.forecast import HORIZON
from scheduling.core.verification import (
    RangePosition,
    days_off,
    range_position,
    simple_factors,
    two_ended,
)
from scheduling.facts.yard_days import Flags
from scheduling.hindsight.forecast_outcomes import Outcomes
from scheduling.hindsight.judged_forecasts import JUDGED, of_that_year, year_judged
from scheduling.models import KeptForecast

Counts = dict[str, Any]


def count_came_true(shop: Shop, outcomes: Outcomes, today: date) -> Counts:
    """Return the figures that the page shows, as plain JSON; the nightly run keeps them."""
    names = dict(MachineClass.objects.values_list("pk", "name"))
    year = of_that_year(KeptForecast.objects.filter(machine__yard__shop=shop), today)
    return {
        "all": {**_counts(outcomes), **_widths(outcomes)},
        "months": [[first.isoformat(), _counts(outcomes.where(at))]
                   for first, at in _by_month(outcomes, today)],
        "classes": [[name, _counts(outcomes.where(at))] for name, at in _by_class(outcomes, names)],
        "uncounted": year.exclude(outcome__in=JUDGED).exclude(outcome="").count(),
        "waiting": year.filter(outcome="").count(),
    }  # fmt: skip


def _counts(some: Outcomes) -> Counts:
    """Count where truths fell, of ranges with two ends, and mean days off, where both are known."""
    judged = some.where(two_ended(some.said))
    where = range_position(judged.said, judged.truth)
    both = some.where(~np.isnan(some.simple))
    ours, simple = days_off(both.middle, both.truth), days_off(both.simple, both.truth)
    return {
        "earlier": int((where == RangePosition.EARLIER).sum()),
        "inside": int((where == RangePosition.INSIDE).sum()),
        "later": int((where == RangePosition.LATER).sum()),
        "off": _mean(ours),
        "simple_off": _mean(simple),
    }


def _mean(days: np.ndarray) -> float | None:
    return round(float(days.mean()), 1) if days.size else None


def _widths(outcomes: Outcomes) -> Counts:
    """Return the mean width of our ranges, and of the simple average's that hold 8 times in 10."""
    both = outcomes.where(~np.isnan(outcomes.simple))
    if not both.truth.size:
        return {"forecasts": 0, "width": None, "simple_width": None}
    low, high = simple_factors(both.simple, both.truth)
    date_ = np.maximum(both.simple, 1.0)
    simple = np.minimum(date_ * high, HORIZON) - np.minimum(date_ * low, HORIZON)
    return {
        "forecasts": int(both.truth.size),
        "width": _mean(both.high - both.low),
        "simple_width": _mean(simple),
    }


def _by_month(outcomes: Outcomes, today: date) -> Iterator[tuple[date, Flags]]:
    """Yield the months in which forecasts were made that count today."""
    first, last = (np.datetime64(day, "M") for day in year_judged(today))
    month = outcomes.made.astype("datetime64[M]")
    for each in np.arange(first, last + 1):
        yield each.astype("datetime64[D]").astype(date), month == each


def _by_class(outcomes: Outcomes, names: dict[int, str]) -> Iterator[tuple[str, Flags]]:
    found = [(names.get(key, ""), key) for key in np.unique(outcomes.machine_class).tolist()]
    for name, key in sorted(found):
        yield name, outcomes.machine_class == key
