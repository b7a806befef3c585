"""What lies on the shelf once something of its past was put right.

On hand = what the last count that stands found + what came and went after it; without a count, all
that came and went.  Sums of movements say the same as long as nothing is put right; where they no
longer do, one movement levels them, so that every reader may go on adding movements up.
"""

from collections.abc import Iterable
from datetime import datetime

from fleet.models import Person, StockMovement

LEVELLED = "so that the last count stands"
"""The note of a movement that levels; the next levelling leaves it out of what came and went."""
LEAST_WORTH_SAYING = 1e-6
"""Pieces or mL; what is less is the rounding of a sum."""


def level_shelf(places: Iterable[tuple[int, int]], *, by: Person | None, now: datetime) -> None:
    """Level the shelves of some (part, shop) inside the caller's transaction."""
    for part, shop in sorted(set(places)):
        rows = list(StockMovement.objects.filter(part=part, shop=shop).order_by("at", "pk"))
        lacks = _on_hand(rows) - sum(row.quantity for row in rows)
        if abs(lacks) > LEAST_WORTH_SAYING:
            StockMovement.objects.create(
                part_id=part, shop_id=shop, quantity=lacks, reason=StockMovement.Reason.COUNT,
                at=now, by=by, note=LEVELLED,
            )  # fmt: skip


def _on_hand(rows: list[StockMovement]) -> float:
    """Return what lies there; rows: all movements of one place in the order of their time."""
    gone = {row.corrects_id for row in rows}
    left = 0.0
    for row in rows:
        if row.pk in gone or row.corrects_id is not None or row.note == LEVELLED:
            continue
        left = left + row.quantity if row.counted is None else row.counted
    return left
