"""Blocks written by their difference."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import QuerySet

from scheduling.due.own_blocks import BLOCK_FIELDS, BlockRow, Cause
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
    changed = [
        _block(cause, row, kept[cause][0])
        for cause, row in wanted.items()
        if cause in kept and kept[cause][1] != row
    ]
    if fresh:
        Block.objects.bulk_create(fresh, batch_size=BATCH)
    if changed:
        Block.objects.bulk_update(changed, _names(BLOCK_FIELDS), batch_size=BATCH)
    return Written(len(fresh), len(changed), len(gone))


def _kept(rows: Iterable[tuple[Any, ...]]) -> tuple[Kept, list[int]]:
    """Return the blocks that stand, by cause, and the keys of any doubles."""
    kept: Kept = {}
    doubles = []
    for pk, machine, kind, *values in rows:
        cause = cause_of(machine, kind, values)
        if cause in kept:
            doubles.append(pk)
        else:
            kept[cause] = (pk, tuple(values))
    return kept, doubles


def cause_of(machine: int, kind: str, values: Sequence[object]) -> Cause:
    """Return what causes a block: its booking, hold or due point, or else its day."""
    row = dict(zip(BLOCK_FIELDS, values, strict=True))
    reference = row["booking_id"] or row["hold_id"] or row["due_point_id"]
    if kind == Block.Kind.IN_SHOP:
        reference = row["first_day"].toordinal()  # type: ignore[attr-defined]
    return machine, kind, int(reference or 0)  # type: ignore[call-overload]


def _block(cause: Cause, row: BlockRow, pk: int | None = None) -> Block:
    machine, kind, _ = cause
    values = dict(zip(BLOCK_FIELDS, row, strict=True))
    return Block(pk=pk, machine_id=machine, kind=kind, **values)


def _names(fields: Sequence[str]) -> list[str]:
    return [name.removesuffix("_id") for name in fields]
