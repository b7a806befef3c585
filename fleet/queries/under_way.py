"""How far work under way has come, for the pages of the bench."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from fleet.models import Person, Progress
from fleet.queries.who_works import machines_at_work


def words_of(work_keys: Iterable[str]) -> dict[str, list[Progress]]:
    """Return all that was said of each piece of work, the oldest first, by its key; one query."""
    rows = Progress.objects.filter(work_key__in=list(work_keys)).select_related("done_by")
    found: dict[str, list[Progress]] = {}
    for row in rows.order_by("at", "pk"):
        found.setdefault(row.work_key, []).append(row)
    return found


def words_within(person: Person, day: date) -> QuerySet[Progress]:
    """Return what was said of work under way on machines that a person may look at that day."""
    rows = Progress.objects.select_related("machine__yard__shop")
    return rows.filter(machine__in=machines_at_work(person, day).values("pk"))
