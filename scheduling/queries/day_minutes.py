"""What is left of a day's planned work, told alike by the list and by the sheet."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from fleet.models import Pin, Progress, PutOff
from scheduling.models import PlannedJob, PlannedWork


def with_words_since(rows: QuerySet[PlannedWork]) -> QuerySet[PlannedWork]:
    """Return planned work with what became of it since the plan was made; no more queries.

    put_off: whether it was put off from its day; a plan made since that puts it there again does
    not bring it back onto that day's list, a pin does.  left_since: minutes left, if it was left
    under way.
    """
    same = {"work_key": OuterRef("work_key"), "at__gte": OuterRef("plan__made_at")}
    pinned = Pin.objects.filter(
        work_key=OuterRef("work_key"), lifted_at=None, at__gt=OuterRef("at")
    )
    put_offs = PutOff.objects.filter(
        Q(at__gte=OuterRef("plan__made_at"), day__gte=OuterRef("job__day"))
        | Q(~Exists(pinned), day=OuterRef("job__day")),
        work_key=OuterRef("work_key"),
    )
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
