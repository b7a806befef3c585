"""Small steps of an import: what is said of it by hand, left out, or complete by now."""

from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.models import Import, ImportFile, Person, ToComplete


def choose(kept: Import, sheets: dict[str, Any], *, make_missing: bool) -> bool:
    """Keep what was said by hand; True where it is not what was said before."""
    before = kept.choices.get("sheets", {}), kept.make_missing
    if before == (sheets, make_missing):
        return False
    kept.choices, kept.make_missing = kept.choices | {"sheets": sheets}, make_missing
    kept.save(update_fields=["choices", "make_missing"])
    return True


@transaction.atomic
def leave_out(kept: Import) -> None:
    """Leave a file out that has not come in; its bytes go."""
    waiting = (Import.Stage.READY, Import.Stage.LOOK, Import.Stage.FAILED)
    if Import.objects.filter(pk=kept.pk, stage__in=waiting).update(stage=Import.Stage.LEFT):
        ImportFile.objects.filter(of_import=kept).delete()


def complete(kept: Import, *, by: Person, now: datetime) -> None:
    """Say that somebody has completed what was made with a file."""
    open_ones = ToComplete.objects.filter(of_import=kept, settled_at=None)
    open_ones.update(settled_at=now, settled_by=by)
