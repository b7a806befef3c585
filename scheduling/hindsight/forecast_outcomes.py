"""Judged forecasts as arrays: what was said, what the simple average said, what came true."""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.models import Shop
from scheduling.core.forecast import HORIZON
from scheduling.core.verification import RangeForecasts
from scheduling.facts.yard_days import Days, Floats, Ints
from scheduling.hindsight.judged_forecasts import judged_forecasts
from scheduling.models import KeptForecast

FIELDS = (
    "kind", "machine_id", "machine_class_id", "made_on", "low_level", "high_level",
    "p10", "p50", "p90", "simple", "truth",
)  # fmt: skip
"""Fields of a kept forecast, in the order of the arrays of `Outcomes`."""

BATCH = 50_000
"""Rows turned into arrays at one go, so that their tuples do not pile up."""


@dataclass(frozen=True)
class Outcomes:
    """n judged forecasts; days are counted from the day made, 120 for beyond; arrays (n,).

    simple: NaN where there was no average yet.
    """

    kind: NDArray[np.str_]
    machine: Ints
    machine_class: Ints
    made: Days
    low_level: Floats
    high_level: Floats
    low: Floats
    middle: Floats
    high: Floats
    simple: Floats
    truth: Floats

    @property
    def said(self) -> RangeForecasts:
        """What was said."""
        return RangeForecasts(self.low, self.middle, self.high)

    def where(self, keep: NDArray[Any]) -> "Outcomes":
        """Return some of them."""
        return Outcomes(*(getattr(self, each.name)[keep] for each in fields(self)))


def load_outcomes(shop: Shop, today: date) -> Outcomes:
    """Load the forecasts that count today, with one query."""
    rows = judged_forecasts(KeptForecast.objects.filter(machine__yard__shop=shop), today)
    return outcomes_of(rows.order_by().values_list(*FIELDS).iterator(BATCH))


def outcomes_of(rows: Iterable[tuple[Any, ...]]) -> Outcomes:
    """Turn rows of `FIELDS` into arrays."""
    source, parts = iter(rows), [_columns([])]
    while batch := list(islice(source, BATCH)):
        parts.append(_columns(batch))
    return Outcomes(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _columns(rows: list[tuple[Any, ...]]) -> tuple[NDArray[Any], ...]:
    table = list(zip(*rows, strict=True)) or [()] * len(FIELDS)
    whole = [np.array(column, dtype=np.int64) for column in table[1:3]]
    levels = [np.array(column, dtype=np.float64) for column in table[4:6]]
    ranges = [_days(column, HORIZON) for column in table[6:9]]
    return (
        np.array(table[0], dtype="U8"), *whole, np.array(table[3], dtype="datetime64[D]"),
        *levels, *ranges, _days(table[9], np.nan), _days(table[10], HORIZON),
    )  # fmt: skip


def _days(column: tuple[int | None, ...], beyond: float) -> Floats:
    return np.array([beyond if day is None else day for day in column], dtype=np.float64)
