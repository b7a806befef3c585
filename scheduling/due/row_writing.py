"""Rows written by their difference: what is the same already is left alone."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model, QuerySet

BATCH = 500
"""Rows in one statement."""

Key = tuple[Any, ...]
Values = tuple[Any, ...]
Names = tuple[Sequence[str], Sequence[str]]


@dataclass
class Written:
    """How many rows were written, and the keys of all rows that stand now."""

    created: int = 0
    updated: int = 0
    deleted: int = 0
    keys: dict[Key, int] = field(default_factory=dict)

    def __add__(self, other: "Written") -> "Written":
        return Written(
            self.created + other.created,
            self.updated + other.updated,
            self.deleted + other.deleted,
        )


def write_difference(rows: QuerySet[Any], names: Names, wanted: Mapping[Key, Values]) -> Written:
    """Make the rows of a query be the wanted ones, writing only what differs.

    rows: all rows that this call may change or delete; names: the fields that tell rows apart
    (a unique constraint of the model) and the others; wanted: key -> values in that order.
    """
    return write_over(rows.model, rows.values_list("pk", *names[0], *names[1]), names, wanted)


def write_over(
    model: type[Model], rows: Iterable[Values], names: Names, wanted: Mapping[Key, Values]
) -> Written:
    """Do as `write_difference` over rows that are read already: (pk, *names[0], *names[1])."""
    by, _ = names
    kept = {tuple(row[1 : 1 + len(by)]): (row[0], tuple(row[1 + len(by) :])) for row in rows}
    gone = [pk for key, (pk, _) in kept.items() if key not in wanted]
    changed = {key: new for key, new in wanted.items() if key in kept and kept[key][1] != new}
    fresh = {key: new for key, new in wanted.items() if key not in kept}
    for start in range(0, len(gone), BATCH):
        model._default_manager.filter(pk__in=gone[start : start + BATCH]).delete()
    _upsert(model, names, changed)
    made = _upsert(model, names, fresh)
    keys = {key: pk for key, (pk, _) in kept.items() if key in wanted}
    keys |= dict(zip(fresh, made, strict=True))
    return Written(len(fresh), len(changed), len(gone), keys)


def _upsert(model: type[Model], names: Names, rows: Mapping[Key, Values]) -> list[int]:
    """Insert rows, or update those whose key is there (another run may have come first)."""
    by, others = names
    if not rows:
        return []
    objects = [
        model(**dict(zip((*by, *others), (*key, *values), strict=True)))
        for key, values in rows.items()
    ]
    model._default_manager.bulk_create(
        objects,
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=list(by),
        update_fields=list(others),
    )
    return [row.pk for row in objects]
