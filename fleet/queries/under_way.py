"""How far work under way has come, for the pages of the bench."""

from collections.abc import Iterable

from fleet.models import Progress


def last_words(work_keys: Iterable[str]) -> dict[str, Progress]:
    """Return what was said last of each piece of work, by its key; one query."""
    rows = Progress.objects.filter(work_key__in=list(work_keys)).select_related("done_by")
    return {row.work_key: row for row in rows.order_by("at", "pk")}
