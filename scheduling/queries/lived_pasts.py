"""What a manager is shown of the shop's past lived through again."""

from dataclasses import dataclass, field
from datetime import datetime

from fleet.models import Shop
from fleet.refusal import Refusal
from scheduling.hindsight.too_thin import span_of
from scheduling.models import Hindsight, OutboxEntry
from scheduling.wording.hindsight_words import (
    HindsightRow,
    hindsight_assumed,
    hindsight_price,
    hindsight_rows,
    hindsight_sentence,
    whole_date,
)


@dataclass(frozen=True)
class LivedPast:
    """The page of one shop: its first sentence; the run under way; the last that has ended.

    refused: why its past cannot be lived again, empty where it can; rows, assumed: of the last
    result.  fault: why the run under way does not get on just now.  price: what the plans take.
    """

    says: str
    under_way: Hindsight | None = None
    last: Hindsight | None = None
    refused: str = ""
    rows: list[HindsightRow] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)
    fault: str = ""
    price: str = ""


def lived_past(shop: Shop, now: datetime) -> LivedPast:
    """Return how a shop's past stands; at most five queries."""
    found = list(Hindsight.objects.filter(shop=shop).defer("state"))
    under_way = next((row for row in found if row.ended_at is None), None)
    last = next((row for row in found if row.ended_at and (row.result or row.said)), None)
    if last is not None and last.result:
        says = hindsight_sentence(last.result, last.first_day, last.last_day)
        return LivedPast(says, under_way, last, "", hindsight_rows(last.result),
                         hindsight_assumed(last.result), fault_of(under_way),
                         hindsight_price(last.result))  # fmt: skip
    if under_way is not None:
        return LivedPast(_going_on(under_way), under_way, fault=fault_of(under_way))
    if last is not None:
        return LivedPast(last.said, None, last)
    try:
        span = span_of(shop, now, None, None)
    except Refusal as no:
        return LivedPast(no.sentence, refused=no.sentence)
    days = f"from {whole_date(span.first)} to {whole_date(span.last)}"
    return LivedPast(f"Your book tells enough to live through {days} again.")


def _going_on(row: Hindsight) -> str:
    return f"{row.nights_lived} of {row.nights} nights have been lived through again."


def entry_key(row: Hindsight) -> str:
    """Return the key under which a past is owed."""
    return f"hindsight:{row.pk}"


def fault_of(row: Hindsight | None) -> str:
    """Return what went wrong at the last try to live on; empty where it gets on."""
    if row is None:
        return ""
    faults = OutboxEntry.objects.filter(key=entry_key(row), done_at=None)
    return faults.values_list("error", flat=True).first() or ""
