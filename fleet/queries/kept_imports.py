"""Files that were brought in, or wait to be."""

from django.db.models import QuerySet

from fleet.models import Import, ImportFile, ImportRefusal, ToComplete


def import_numbered(number: int) -> Import | None:
    """Return an import by its number."""
    return Import.objects.filter(pk=number).first()


def all_imports() -> QuerySet[Import]:
    """Return all imports but those left out, the newest first."""
    rows = Import.objects.exclude(stage=Import.Stage.LEFT)
    return rows.select_related("by", "undone_by").defer("made", "settled", "sheets", "choices")


def whole_imports() -> QuerySet[Import]:
    """Return all imports with all that is kept of them."""
    return Import.objects.select_related("by", "undone_by")


def to_complete_of(kept: Import) -> QuerySet[ToComplete]:
    """Return what was made with a file and nobody completed yet."""
    return left_to_complete().filter(of_import=kept)


def content_of(kept: Import) -> bytes | None:
    """Return the file of an import, while it is kept."""
    row = ImportFile.objects.filter(of_import=kept).first()
    return None if row is None else bytes(row.content)


def refusals_of(kept: Import) -> QuerySet[ImportRefusal]:
    """Return the rows that an import refused, as they stood."""
    return ImportRefusal.objects.filter(of_import=kept).order_by("pk")


def left_to_complete() -> QuerySet[ToComplete]:
    """Return what was made because a file named it, and nobody completed yet."""
    return ToComplete.objects.filter(settled_at=None).order_by("model", "name", "pk")
