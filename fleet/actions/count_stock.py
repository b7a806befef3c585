"""The shelf as people find it: a count corrected."""

from datetime import datetime

from django.db import transaction
from django.db.models import Sum

from fleet.models import Part, Person, Shop, StockMovement
from fleet.refusal import Refusal


@transaction.atomic
def count_shelf(
    part: Part, shop: Shop, quantity: float, *, by: Person, now: datetime, note: str = ""
) -> StockMovement | None:
    """Say how many of a part (pieces, or mL) really lie there; None where the book says so too."""
    if quantity < 0:
        raise Refusal("A count cannot be below zero.", "quantity")
    Part.objects.select_for_update().get(pk=part.pk)  # two who count take turns
    known = StockMovement.objects.filter(part=part, shop=shop)
    booked = known.aggregate(total=Sum("quantity"))["total"]
    if booked == quantity:
        return None
    return StockMovement.objects.create(
        part=part,
        shop=shop,
        quantity=quantity - (booked or 0.0),
        reason=StockMovement.Reason.COUNT,
        at=now,
        by=by,
        note=note,
    )
