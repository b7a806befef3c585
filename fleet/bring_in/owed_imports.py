"""What is owed for files that are too large to be read while a person waits.

Facts know nothing of the worker: a signal says that an import is owed, the other half of the site
writes it down as a row and calls `do_owed` from there.
"""

from datetime import datetime

from django.db import transaction

from fleet.bring_in.import_acts import as_kept, bring_in, look_at
from fleet.bring_in.import_signal import import_owed
from fleet.bring_in.import_undo import rows_made, undo_import
from fleet.bring_in.undo_in_steps import ask_to_undo, undo_owed
from fleet.intake.files import check_at_door
from fleet.intake.headers import FileRefused
from fleet.models import Import, Person
from fleet.queries.kept_imports import content_of, import_numbered

AT_ONCE = 400_000
"""Bytes of a file up to which it is read while the person waits."""


UNDONE_AT_ONCE = 10_000
"""Rows up to which an import is undone while the person waits."""


def look_soon(kept: Import, content: bytes, now: datetime) -> None:
    """Look at a file: at once if it is small, else as soon as the worker is free."""
    try:
        check_at_door(content, kept.file_name)
    except FileRefused as refused:
        _fail(kept, str(refused))
        return
    if len(content) <= AT_ONCE:
        look(kept, content, now)
    else:
        _owe(kept, Import.Stage.LOOK)


def come_soon(kept: Import, content: bytes, now: datetime) -> None:
    """Bring a file in that was looked at: at once if it is small, else by the worker."""
    if len(content) <= AT_ONCE:
        _come(kept, content, now)
    else:
        _owe(kept, Import.Stage.OWED)


def undo_soon(kept: Import, *, by: Person, now: datetime) -> Import:
    """Undo an import: at once if it made few rows, else by the worker.

    Raises:
        Refusal: something was built upon it, if it is looked at at once.

    """
    if rows_made(kept) <= UNDONE_AT_ONCE or kept.stage != Import.Stage.DONE:
        return undo_import(kept, by=by, now=now)
    with transaction.atomic():
        if ask_to_undo(kept, by=by):
            import_owed.send(sender=None, import_id=kept.pk)
    return kept


def _owe(kept: Import, stage: Import.Stage) -> None:
    with transaction.atomic():
        Import.objects.filter(pk=kept.pk).update(stage=stage, rows_done=0)
        import_owed.send(sender=None, import_id=kept.pk)
    kept.refresh_from_db()


def look(kept: Import, content: bytes, now: datetime) -> None:
    """Look at a file, and keep what would come of it."""
    try:
        looked = look_at(content, kept, now)
    except FileRefused as refused:
        _fail(kept, str(refused))
        return
    kept.sheets = [as_kept(report) for report in looked.sheets]
    kept.stage = Import.Stage.READY
    kept.choices = kept.choices | {"missing": [list(one) for one in looked.made]}
    kept.save(update_fields=["sheets", "stage", "choices"])


def _come(kept: Import, content: bytes, now: datetime) -> None:
    try:
        bring_in(kept, content, now)
    except FileRefused as refused:
        _fail(kept, str(refused))


def _fail(kept: Import, sentence: str) -> None:
    kept.stage, kept.said = Import.Stage.FAILED, sentence[:500]
    kept.save(update_fields=["stage", "said"])


def do_owed(number: int, now: datetime) -> None:
    """Do what is owed for an import; nothing where it was done or left out since."""
    kept = import_numbered(number)
    if kept is not None and kept.stage == Import.Stage.UNDOING:
        undo_owed(kept, now)
        return
    content = content_of(kept) if kept else None
    if kept is None or content is None:
        return
    if kept.stage == Import.Stage.LOOK:
        look(kept, content, now)
    elif kept.stage == Import.Stage.OWED:
        _come(kept, content, now)
