"""How good the dates were over a year, as the last nightly run counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fleet.charts import HeldShare
from fleet.models import MeterKind, Shop
from fleet.saying import MONTH, say_percent
from scheduling.core.verification import NOMINAL
from scheduling.due.range_levels import Levels, levels_in_use
from scheduling.models import NightlyRun

STAGE = "forecasts"
"""Stage of the nightly run that keeps the figures in its report."""

ENOUGH = 30
"""Ranges from which a share is said; fewer tell nothing (own judgement: at 30 a share of 80 % is
known to about 15 either way)."""

TEN = 10

NEAR_A_TENTH = 0.25
"""Parts of a tenth within which a share is said as that tenth: 78 % is "8", 75 % lies between."""

NO_COUNTS: dict[str, Any] = {"earlier": 0, "inside": 0, "later": 0, "off": None, "simple_off": None}


@dataclass(frozen=True)
class Adjusted:
    """One kind of meter whose ranges are drawn otherwise than the reckoning says; how: a word."""

    kind: str
    low: str
    high: str
    how: str


@dataclass(frozen=True)
class RangeRecord:
    """What came of a year's forecasts.

    uncounted: those that no reading could settle; waiting: those whose meter was not read since;
    width, simple_width: mean days of our ranges, and of the simple average's that hold 8 in 10.
    """

    all: HeldShare
    months: Sequence[HeldShare]
    classes: Sequence[HeldShare]
    forecasts: int
    width: float | None
    simple_width: float | None
    uncounted: int
    waiting: int
    adjusted: Sequence[Adjusted]

    @property
    def enough(self) -> bool:
        """Whether there are enough to judge."""
        return self.all.count >= ENOUGH

    @property
    def says(self) -> str:
        """Say how good the dates were: "8 of 10 services fell inside their range"."""
        share = self.all.share
        if share is None:
            return "No forecast is old enough to be judged yet."
        counts = f"{self.all.inside:,} of {self.all.count:,}"
        if not self.enough:
            services = "service" if self.all.count == 1 else "services"
            return f"{self.all.count} {services} so far; too few to judge."
        return (
            f"{say_tenths(share)} of 10 services fell inside their range: {counts}, "
            f"{say_percent(share)}."
        )

    @property
    def says_off(self) -> str:
        """Say how far single dates were off, beside the simple average."""
        if self.all.off is None or self.all.simple_off is None or not self.enough:
            return ""
        return (
            f"The middle date was off by {self.all.off:.0f} days on average; the machine's simple "
            f"average would have been off by {self.all.simple_off:.0f}."
        )

    @property
    def says_width(self) -> str:
        """Say how wide the ranges were, beside those that the simple average would need."""
        if self.width is None or self.simple_width is None or not self.enough:
            return ""
        return (
            f"Our ranges were {self.width:.0f} days wide on average; around the simple average it "
            f"would have taken {self.simple_width:.0f} days to hold 8 times in 10."
        )


def say_tenths(share: float) -> str:
    """Return a share in tenths: "8", or "Between 7 and 8" where neither would be true."""
    low, part = divmod(round(share * TEN, 6), 1)
    if part <= NEAR_A_TENTH:
        return f"{low:.0f}"
    return f"{low + 1:.0f}" if part >= 1 - NEAR_A_TENTH else f"Between {low:.0f} and {low + 1:.0f}"


def range_record(shop: Shop, now: datetime) -> RangeRecord:
    """Return what the last nightly run of a shop counted; two queries."""
    run = NightlyRun.objects.filter(shop=shop, finished_at__isnull=False).first()
    return record_of(shop, now, run)


def record_of(shop: Shop, now: datetime, run: NightlyRun | None) -> RangeRecord:
    """Return what one nightly run counted; one query."""
    kept = run.report.get("stages", {}).get(STAGE, {}).get("held", {}) if run else {}
    of_all = kept.get("all", {})
    return RangeRecord(
        all=_share("all", of_all),
        months=[_share(_month(first), counts) for first, counts in kept.get("months", [])],
        classes=[_share(name, counts) for name, counts in kept.get("classes", [])],
        forecasts=of_all.get("forecasts", 0),
        width=of_all.get("width"),
        simple_width=of_all.get("simple_width"),
        uncounted=kept.get("uncounted", 0),
        waiting=kept.get("waiting", 0),
        adjusted=_adjusted(levels_in_use(shop.pk, now.astimezone(shop.zone).date())),
    )


def _share(name: str, counts: dict[str, Any]) -> HeldShare:
    known = {key: counts.get(key, none) for key, none in NO_COUNTS.items()}
    return HeldShare(name, **known)


def _month(first: str) -> str:
    day = date.fromisoformat(first)
    return f"{MONTH[day.month - 1]} {day.year}"


def _adjusted(levels: dict[str, Levels]) -> list[Adjusted]:
    """Say which chances are moved, and which way."""
    moved = [(kind, pair) for kind, pair in sorted(levels.items()) if pair != NOMINAL]
    return [
        Adjusted(MeterKind(kind).label, say_percent(low), say_percent(high), _how(low, high))
        for kind, (low, high) in moved
    ]


def _how(low: float, high: float) -> str:
    """Say which way a range is drawn against 10 % to 90 %."""
    if low >= NOMINAL[0] and high >= NOMINAL[1]:
        return "later"
    if low <= NOMINAL[0] and high <= NOMINAL[1]:
        return "sooner"
    return "wider" if high > NOMINAL[1] else "narrower"
