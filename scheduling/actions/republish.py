"""Published days that changed are published again, and their mechanics are told."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction

from fleet.models import Person, Release, Shop
from fleet.saying import short_date
from scheduling.actions.replan import publish_days
from scheduling.models import Notice, PlannedWork
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import language_for, link, write
from scheduling.notices.posting import NewNotice, put


@dataclass(frozen=True, order=True)
class ListChange:
    """One piece of work that came onto a mechanic's day, or left it."""

    day: date
    came: bool
    tag: str
    title: str


Spot = tuple[str, str]
"""Day in ISO 8601, and user name."""


@transaction.atomic
def tell_released(
    shop: Shop, before: Release | None, *, by: Person, now: datetime
) -> Release | None:
    """Publish again what differs from the last publishing; None where nothing does.

    before: the last publishing.  Work that is done or gone since is no change of anybody's list.
    """
    today = now.astimezone(shop.zone).date()
    if before is None or before.last_day < today:
        return None
    first = max(before.first_day, today)
    work = {
        row.work_key: row
        for row in PlannedWork.objects.filter(plan__shop=shop).select_related(
            "job__mechanic", "machine", "service", "finding"
        )
    }
    old = _published(before, first, set(work))
    new = _planned(work.values(), first, before.last_day)
    if old == new:
        return None
    span = before.last_day - first + timedelta(days=1)
    release = publish_days(shop, first, span.days, by=by, now=now)
    _tell(release, _lines(old, new, work), by, now)
    return release


def _published(release: Release, first: date, known: set[str]) -> dict[str, Spot]:
    return {
        job["work_key"]: (job["day"], job["mechanic"])
        for job in release.jobs
        if job["work_key"] in known and date.fromisoformat(job["day"]) >= first
    }


def _planned(work: Iterable[PlannedWork], first: date, last: date) -> dict[str, Spot]:
    return {
        row.work_key: (row.job.day.isoformat(), row.job.mechanic.username)
        for row in work
        if row.job and first <= row.job.day <= last
    }


def _lines(
    old: dict[str, Spot], new: dict[str, Spot], work: dict[str, PlannedWork]
) -> dict[str, list[ListChange]]:
    """Return what came and what left, by user name."""
    lines: dict[str, list[ListChange]] = {}
    for spots, others, came in ((old, new, False), (new, old, True)):
        for key, (day, name) in spots.items():
            if others.get(key) != (day, name):
                row = work[key]
                line = ListChange(date.fromisoformat(day), came, row.machine.tag, row.title)
                lines.setdefault(name, []).append(line)
    return lines


def _tell(release: Release, lines: dict[str, list[ListChange]], by: Person, now: datetime) -> None:
    """Tell each mechanic whose list changed, but for who changed it."""
    today = now.astimezone(release.shop.zone).date()
    people = Person.objects.filter(username__in=lines, is_active=True).exclude(pk=by.pk)
    for person in people.order_by("pk"):
        mine = sorted(lines[person.username])
        days = ", ".join(dict.fromkeys(short_date(line.day, today) for line in mine))
        letter = write(
            "changed",
            f"Your list has changed: {days}",
            {
                "lines": [(short_date(line.day, today), line) for line in mine],
                "by": by,
                "bench_url": link("bench"),
            },
            language_for(person),
        )
        cause = NoticeCause(Notice.Kind.CHANGED, release_id=release.pk)
        put(NewNotice(cause, person, release.shop, letter), now)
