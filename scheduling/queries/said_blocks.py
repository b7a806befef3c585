"""Blocks with the sentences that a page or a letter shows of them."""

from collections.abc import Collection, Iterable
from datetime import date

from django.db.models import QuerySet

from fleet.models import Service
from scheduling.due.block_words import block_words
from scheduling.models import Block


def with_causes(rows: QuerySet[Block], *, machine: bool = True) -> QuerySet[Block]:
    """Fetch with blocks what their sentences speak of; machine: where the caller has it not."""
    rows = rows.select_related("due_point__service", "hold__placed_by", "shop")
    return rows.select_related("machine__yard") if machine else rows


def said_blocks(blocks: Collection[Block], today: date) -> dict[int, str]:
    """Return the sentence of each block, by its key; one query where services fall due together."""
    services = _services(blocks)
    return {block.pk: block_words(block, today, services) for block in blocks}


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
