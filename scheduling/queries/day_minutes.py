"""What is left of a day's planned work, told alike by the list and by the sheet."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from fleet.models import Progress, PutOff
from scheduling.models import PlannedJob, PlannedWork


def with_words_since(rows: QuerySet[PlannedWork]) -> QuerySet[PlannedWork]:
    """Return planned work with what became of it since the plan was made; no more queries.

    put_off: whether it was put off from its day.  left_since: minutes left, if it was left under
    way.
    """
    same = {"work_key": OuterRef("work_key"), "at__gte": OuterRef("plan__made_at")}
    put_offs = PutOff.objects.filter(**same, day__gte=OuterRef("job__day"))
    words = Progress.objects.filter(**same).order_by("-at", "-pk").values("minutes_left")
    # the model names both, for rows of which nobody has asked
    return rows.annotate(  # type: ignore[no-redef]
        put_off=Exists(put_offs), left_since=Subquery(words[:1])
    )


def minutes_left(job: PlannedJob, work: Iterable[tuple[PlannedWork, bool]], day: date) -> int:
    """Return the minutes that a job still takes of its mechanic on a day.

    work: each piece of the job, and whether it is done.  What is done, put off, or left under way
    for another day counts no more; the rest of a long job is no longer than its share of the day.
    """
    pieces = list(work)
    over = [one for one, done in pieces if done or one.put_off or one.left_since is not None]
    if len(over) == len(pieces):
        return 0
    left = job.minutes - sum(one.minutes for one in over)
    return max(0, min(job.minutes_on(day), left))
