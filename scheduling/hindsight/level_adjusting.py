"""Chances asked for at the ends of ranges, adjusted from what came true."""

from datetime import date, timedelta

import numpy as np

from fleet.models import Shop
from scheduling.core.verification import NOMINAL, Tail, recalibrated_level, two_ended
from scheduling.due.range_levels import Levels, levels_in_use
from scheduling.hindsight.forecast_outcomes import Outcomes
from scheduling.models import RangeLevels


def adjusted(outcomes: Outcomes) -> dict[str, tuple[Levels, int]]:
    """Return by kind of meter the chances to ask for after these outcomes, and how many they are.

    Few outcomes leave the chances as they are usually.
    """
    judged = outcomes.where(two_ended(outcomes.said))
    found = {}
    for kind in np.unique(judged.kind).tolist():
        own = judged.where(judged.kind == kind)
        low = Tail(own.low_level, own.low, own.truth, own.machine)
        high = Tail(own.high_level, own.high, own.truth, own.machine)
        levels = recalibrated_level(low, NOMINAL[0]), recalibrated_level(high, NOMINAL[1])
        found[kind] = levels, own.truth.size
    return found


def adjust(shop: Shop, outcomes: Outcomes, today: date) -> int:
    """Adjust a shop's chances from tomorrow on, where they change; returns the rows written.

    From tomorrow on, so that a night run twice on one day asks for the same chances.
    """
    tomorrow = today + timedelta(days=1)
    held_now = levels_in_use(shop.pk, tomorrow)
    changed = 0
    for kind, (levels, judged) in adjusted(outcomes).items():
        if levels != held_now.get(kind, NOMINAL):
            write_levels(shop, kind, tomorrow, (levels, judged))
            changed += 1
    return changed


def write_levels(shop: Shop, kind: str, day: date, found: tuple[Levels, int]) -> None:
    """Write chances that hold from a day on."""
    (low, high), judged = found
    RangeLevels.objects.update_or_create(
        shop=shop, kind=kind, holds_from=day,
        defaults={"low": low, "high": high, "judged": judged},
    )  # fmt: skip
