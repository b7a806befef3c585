"""Blocks with the sentences that a page or a letter shows of them."""

from collections.abc import Collection, Iterable
from datetime import date

from django.db.models import QuerySet

from fleet.models import HandOver, Service
from scheduling.due.block_words import block_words
from scheduling.models import Block


def with_causes(rows: QuerySet[Block], *, machine: bool = True) -> QuerySet[Block]:
    """Fetch with blocks what their sentences speak of; machine: where the caller has it not."""
    rows = rows.select_related("due_point__service", "hold__placed_by", "shop")
    return rows.select_related("machine__yard") if machine else rows


def said_blocks(blocks: Collection[Block], today: date) -> dict[int, str]:
    """Return the sentence of each block, by its key.

    One query where services fall due together, and one where a booking began that they fall due on.
    """
    services, gone = _services(blocks), _gone(blocks, today)
    return {block.pk: block_words(block, today, services, gone) for block in blocks}


def _gone(blocks: Iterable[Block], today: date) -> set[int]:
    """Return the bookings of blocks on which the machine was handed over, and has not come back."""
    began = {block.booking_id for block in blocks if block.first_day <= today} - {None}
    if not began:
        return set()
    rows = HandOver.objects.filter(booking__in=began, direction=HandOver.Direction.OUT)
    return set(rows.values_list("booking", flat=True))


def _services(blocks: Iterable[Block]) -> dict[int, str]:
    """Return the names of services that stand in blocks as keys alone."""
    names = {
        block.due_point.service_id: str(block.due_point.service)
        for block in blocks
        if block.due_point
    }
    lacking = {row["service"] for block in blocks for row in block.works} - set(names)
    if lacking:
        names |= Service.objects.filter(pk__in=lacking).values_list("pk", "name")
    return names
