"""A caution by its code: as the shop says it, else as the library does."""

from fleet.models import Caution
from fleet.procedures.library import library_cautions


def caution_called(code: str) -> Caution | None:
    """Return the shop's caution of a code, else the library's, not saved; one query."""
    if own := Caution.objects.filter(code=code).first():
        return own
    told = library_cautions().get(code)
    return Caution(code=code, **told) if told else None
