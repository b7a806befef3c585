"""A large import is undone in steps: its readings batch by batch, then all the rest at once.

Nothing goes before it is known that nothing was built upon it.  How many rows are gone is kept with
each batch, in its transaction, so that a worker that is killed goes on where it was.
"""

from collections.abc import Iterator
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.bring_in.import_undo import (
    delete_rows,
    machines_left,
    refuse_built_upon,
    rows_made,
    take_the_rest_away,
)
from fleet.changed_facts import tell
from fleet.models import Import, Machine, Person, Reading
from fleet.refusal import Refusal

BATCH = 20_000
"""Readings that are taken away in one transaction."""
LEFT = "left"
"""Name in `Import.choices` of the machines that stay and whose facts go."""


def ask_to_undo(kept: Import, *, by: Person | None) -> bool:
    """Say that an import is to be undone in steps; False where it is no more to be undone."""
    rows = Import.objects.filter(pk=kept.pk, stage=Import.Stage.DONE)
    choices = {name: value for name, value in kept.choices.items() if name != LEFT}
    asked = rows.update(
        stage=Import.Stage.UNDOING, undone_by=by, rows_done=0, rows_in_all=rows_made(kept),
        said="", choices=choices,
    )  # fmt: skip
    kept.refresh_from_db()
    return asked == 1


def undo_owed(kept: Import, now: datetime) -> None:
    """Undo an import that was asked to be; where something was built upon it, say so and stop."""
    try:
        if LEFT not in kept.choices:
            refuse_built_upon(kept)
            kept.choices = kept.choices | {LEFT: sorted(machines_left(kept))}
            kept.save(update_fields=["choices"])
        for first, last in _batches(kept):
            _take_batch(kept, first, last)
        _end(kept, now)
    except Refusal as no:
        with transaction.atomic():
            kept.stage, kept.said = Import.Stage.DONE, no.sentence[:500]
            kept.save(update_fields=["stage", "said"])
            tell(_still_there(kept) if kept.rows_done else set())


def _batches(kept: Import) -> Iterator[tuple[int, int]]:
    """Go through the numbers of the readings, a batch at a time; those that are gone are few
    queries.
    """
    for first, last in kept.made.get(Reading._meta.label_lower, []):
        for start in range(first, last + 1, BATCH):
            yield start, min(last, start + BATCH - 1)


@transaction.atomic
def _take_batch(kept: Import, first: int, last: int) -> None:
    rows = Reading.objects.filter(pk__range=(first, last)).order_by()
    gone = rows.count()
    delete_rows(rows)
    kept.rows_done += gone
    kept.save(update_fields=["rows_done"])


@transaction.atomic
def _end(kept: Import, now: datetime) -> None:
    """Take the rest away, once more if nothing was built upon it in the meantime."""
    refuse_built_upon(kept)
    take_the_rest_away(kept)
    kept.stage, kept.undone_at = Import.Stage.UNDONE, now
    kept.rows_done = kept.rows_in_all
    kept.save(update_fields=["stage", "undone_at", "rows_done"])
    gone = ChangedValue("rows", f"{rows_made(kept):,}", "0")
    keep_change(kept, "undone", [gone], by=kept.undone_by, now=now)
    tell(_still_there(kept))


def _still_there(kept: Import) -> set[int]:
    """Return the machines whose facts went, of those that are there."""
    return set(kept.choices[LEFT]) & set(Machine.objects.values_list("pk", flat=True))
