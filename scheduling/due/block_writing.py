"""Blocks written by their difference."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import QuerySet

from scheduling.due.block_rows import BLOCK_FIELDS, BlockRow, Cause
from scheduling.due.row_writing import BATCH, Written
from scheduling.facts.scope import Scope
from scheduling.models import Block

Kept = dict[Cause, tuple[int, BlockRow]]


def block_rows(scope: Scope, kinds: Sequence[str]) -> QuerySet[Block, Any]:
    """Return the blocks of these kinds that stand, as `write_blocks` wants them."""
    rows = Block.objects.filter(scope.on("machine"), kind__in=kinds).order_by("pk")
    return rows.values_list("pk", "machine_id", "kind", *BLOCK_FIELDS)


def write_blocks(rows: Iterable[tuple[Any, ...]], wanted: Mapping[Cause, BlockRow]) -> Written:
    """Make these blocks be the wanted ones; a block whose cause stays keeps its key."""
    kept, doubles = _kept(rows)
    gone = doubles + [pk for cause, (pk, _) in kept.items() if cause not in wanted]
    for start in range(0, len(gone), BATCH):
        Block.objects.filter(pk__in=gone[start : start + BATCH]).delete()
    fresh = [_block(cause, row) for cause, row in wanted.items() if cause not in kept]
    moved = {c: row for c, row in wanted.items() if c in kept and kept[c][1] != row}
    changed = [_block(cause, row, kept[cause][0]) for cause, row in moved.items()]
    if fresh:
        Block.objects.bulk_create(fresh, batch_size=BATCH)
    if changed:
        names = _changed_fields((kept[cause][1], row) for cause, row in moved.items())
        Block.objects.bulk_update(changed, names, batch_size=BATCH)
    return Written(len(fresh), len(changed), len(gone))


def _kept(rows: Iterable[tuple[Any, ...]]) -> tuple[Kept, list[int]]:
    """Return the blocks that stand, by cause, and the keys of any doubles."""
    kept: Kept = {}
    doubles = []
    for pk, machine, kind, *values in rows:
        row = BlockRow(*values)
        cause = cause_of(machine, kind, row)
        if cause in kept:
            doubles.append(pk)
        else:
            kept[cause] = (pk, row)
    return kept, doubles


def cause_of(machine: int, kind: str, row: BlockRow) -> Cause:
    """Return what causes a block: its booking, hold or due point, or else its day."""
    if kind == Block.Kind.IN_SHOP:
        return machine, kind, row.first_day.toordinal()
    return machine, kind, row.booking_id or row.hold_id or row.due_point_id or 0


def _block(cause: Cause, row: BlockRow, pk: int | None = None) -> Block:
    machine, kind, _ = cause
    return Block(pk=pk, machine_id=machine, kind=kind, **row._asdict())


def _changed_fields(pairs: Iterable[tuple[BlockRow, BlockRow]]) -> list[str]:
    """Return the fields in which any of the rows differ, as an update names them."""
    changed = {
        name
        for old, new in pairs
        for name, before, after in zip(BLOCK_FIELDS, old, new, strict=True)
        if before != after
    }
    return [name.removesuffix("_id") for name in BLOCK_FIELDS if name in changed]
