"""Chances asked for at the ends of ranges, looked up by day.

They are nominal until forecasts that came due have shown otherwise (`hindsight.level_adjusting`).
"""

from datetime import date

from scheduling.models import RangeLevels

Levels = tuple[float, float]
"""Chance asked for at the low and at the high end of a range, each from 0 to 1."""


def levels_in_use(shop_id: int, day: date) -> dict[str, Levels]:
    """Return the chances asked for on a day by kind of meter; kinds never adjusted are left out."""
    rows = RangeLevels.objects.filter(shop=shop_id, holds_from__lte=day).order_by("holds_from")
    return {kind: (low, high) for kind, low, high in rows.values_list("kind", "low", "high")}
