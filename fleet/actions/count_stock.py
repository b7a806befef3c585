"""The shelf as people find it: counted, a count corrected, a movement struck."""

from datetime import datetime

from django.db import transaction
from django.db.models import Sum

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.actions.level_shelf import level_shelf
from fleet.actions.remember_acts import remember_act
from fleet.models import Act, Part, Person, Shop, StockMovement
from fleet.queries.stock_words import say_amount
from fleet.refusal import Refusal


def on_hand(part_id: int, shop_id: int) -> float | None:
    """Return what should lie on the shelf by the book, in pieces or mL; None if never counted."""
    known = StockMovement.objects.filter(part=part_id, shop=shop_id)
    total: float | None = known.aggregate(total=Sum("quantity"))["total"]
    return total


@transaction.atomic
def count_shelf(
    part: Part, shop: Shop, quantity: float, *, by: Person, now: datetime, note: str = ""
) -> StockMovement | None:
    """Say how many of a part (pieces, or mL) really lie there; None if the last count said so too.

    A count that finds what the book says is kept too, as a movement of nothing: whatever of the
    time before it is put right afterwards, so many lay there.
    """
    if quantity < 0:
        raise Refusal("A count cannot be below zero.", "quantity")
    _lock(part.pk)
    booked = on_hand(part.pk, shop.pk)
    if booked == quantity:
        known = StockMovement.objects.filter(part=part, shop=shop)
        last = known.order_by("-at", "-pk").first()
        if last is not None and last.counted == quantity:
            return None
    movement = StockMovement.objects.create(
        part=part,
        shop=shop,
        quantity=quantity - (booked or 0.0),
        reason=StockMovement.Reason.COUNT,
        at=now,
        by=by,
        note=note,
        counted=quantity,
    )
    words = f"the count of {part.name}"
    remember_act(Act.What.COUNT, words, {"movement": [movement]}, by=by, now=now)
    return movement


@transaction.atomic
def correct_count(
    count: StockMovement, quantity: float, *, why: str, by: Person, now: datetime
) -> StockMovement:
    """Say what was really found at a count; what came and went since then counts on from it."""
    if quantity < 0:
        raise Refusal("A count cannot be below zero.", "quantity")
    _lock(count.part_id)
    if count.counted is None:
        raise Refusal("Only a count can be corrected; strike this movement instead.")
    later = StockMovement.objects.filter(corrects=count).first()
    if later is not None:
        raise Refusal("This count was already put right; correct the later one instead.")
    _take_back(count, by, now, why)
    new = StockMovement.objects.create(
        part=count.part,
        shop=count.shop,
        quantity=count.quantity + quantity - count.counted,
        reason=StockMovement.Reason.COUNT,
        at=count.at,  # when it was counted; the log says when it was corrected
        by=by,
        note=why.strip()[:120],
        counted=quantity,
    )
    level_shelf([(count.part_id, count.shop_id)], by=by, now=now)
    words = ChangedValue(
        "counted", say_amount(count.part, count.counted, count.shop),
        say_amount(count.part, quantity, count.shop),
    )  # fmt: skip
    keep_change(count, "corrected", [words], by=by, now=now, reason=why)
    return new


@transaction.atomic
def strike_movement(
    movement: StockMovement, *, why: str, by: Person, now: datetime
) -> StockMovement:
    """Take a movement back: it was not so; what an entry of the book took goes with that entry."""
    if not why.strip():
        raise Refusal("Say why the movement is struck.", "why")
    _lock(movement.part_id)
    if movement.record_id:
        raise Refusal("It belongs to an entry in the service book; put that entry right instead.")
    if movement.corrects_id:
        raise Refusal("It takes back another movement; count the shelf instead.")
    if later := StockMovement.objects.filter(corrects=movement).first():
        return later
    back = _take_back(movement, by, now, why)
    level_shelf([(movement.part_id, movement.shop_id)], by=by, now=now)
    keep_change(movement, "struck", by=by, now=now, reason=why)
    return back


def _take_back(movement: StockMovement, by: Person, now: datetime, why: str) -> StockMovement:
    return StockMovement.objects.create(
        part=movement.part,
        shop=movement.shop,
        quantity=-movement.quantity,
        reason=StockMovement.Reason.COUNT,
        at=now,
        by=by,
        note=why.strip()[:120],
        corrects=movement,
    )


def _lock(part_id: int) -> None:
    """Let two who count the same part take turns."""
    Part.objects.select_for_update(no_key=True).get(pk=part_id)
