"""Files that were brought in, or wait to be."""

from django.db.models import QuerySet

from fleet.models import Import, ImportFile, ImportRefusal, Person, ToComplete
from fleet.queries.shop_reach import bound_to

SHOP_ALONE = "shop"
"""Name in `Import.choices` of the one shop for which a file came in."""


def import_numbered(number: int) -> Import | None:
    """Return an import by its number."""
    return Import.objects.filter(pk=number).first()


def imports_of(person: Person) -> QuerySet[Import]:
    """Return the imports but those left out that a person may look at, the newest first."""
    rows = _theirs(person).exclude(stage=Import.Stage.LEFT)
    return rows.select_related("by", "undone_by").defer("made", "settled", "sheets", "choices")


def whole_imports_of(person: Person) -> QuerySet[Import]:
    """Return the imports that a person may look at, with all that is kept of them."""
    return _theirs(person).select_related("by", "undone_by")


def _theirs(person: Person) -> QuerySet[Import]:
    """Return all imports, or those for the one shop that is a person's."""
    only = bound_to(person)
    every = Import.objects.all()
    return every.filter(**{f"choices__{SHOP_ALONE}": only}) if only else every


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
