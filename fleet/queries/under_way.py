"""How far work under way has come, for the pages of the bench."""

from collections.abc import Iterable

from fleet.models import Progress


def words_of(work_keys: Iterable[str]) -> dict[str, list[Progress]]:
    """Return all that was said of each piece of work, the oldest first, by its key; one query."""
    rows = Progress.objects.filter(work_key__in=list(work_keys)).select_related("done_by")
    found: dict[str, list[Progress]] = {}
    for row in rows.order_by("at", "pk"):
        found.setdefault(row.work_key, []).append(row)
    return found
