"""Keep what stands on a shop's list as a day begins."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from fleet.models import KeptDay, KeptWork, Shop


@dataclass(frozen=True)
class DayList:
    """A shop's list for one day; the rows of work are not saved yet.

    minutes: visits, set-ups and work; minutes_there: what all mechanics have on that day.
    """

    day: date
    minutes: int
    minutes_there: int
    work: Sequence[KeptWork]


@transaction.atomic
def keep_day(shop: Shop, listed: DayList, *, now: datetime) -> KeptDay | None:
    """Keep a day's list; None where that day is kept already: the first word stands."""
    kept, made = KeptDay.objects.get_or_create(
        shop=shop,
        day=listed.day,
        defaults={
            "kept_at": now,
            "minutes": listed.minutes,
            "minutes_there": listed.minutes_there,
        },
    )
    if not made:
        return None
    for row in listed.work:
        row.kept_day = kept
    KeptWork.objects.bulk_create(listed.work, batch_size=500)
    return kept
