"""A block in words, as a page of a day would say it."""

from datetime import date

from scheduling.models import Block
from scheduling.queries.said_blocks import said_blocks, with_causes
from tests.factories import TODAY


def said(block: Block, today: date = TODAY) -> str:
    """Return the sentence of a block as it stands in the database."""
    rows = list(with_causes(Block.objects.filter(pk=block.pk)))
    return said_blocks(rows, today)[block.pk]
