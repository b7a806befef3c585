"""Days that go otherwise than usual: closed, open all the same, overtime, somebody away.

Each says who and when; the same said twice adds nothing.
"""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from fleet.models import Absence, ClosedDay, OpenDay, OvertimeDay, Person, Shop
from fleet.refusal import Refusal

MOST_HOURS = 24.0
MOST_OVERTIME = 12.0
"""Hours of overtime on a day beyond which it is a slip of the finger (our judgement)."""


@dataclass(frozen=True)
class SaidBy:
    """Who says it, when, and why."""

    by: Person
    now: datetime
    reason: str = ""


@transaction.atomic
def close_day(shop: Shop, day: date, said: SaidBy) -> ClosedDay:
    """Close the shop on a day; a word that it was open all the same is taken back."""
    if _newest(OpenDay, shop, day):
        OpenDay.objects.create(
            shop=shop, day=day, hours=0, reason=said.reason, by=said.by, at=said.now
        )
    row, _ = ClosedDay.objects.get_or_create(
        shop=shop,
        yard=None,
        day=day,
        defaults={"reason": said.reason, "by": said.by, "at": said.now},
    )
    return row


@transaction.atomic
def open_day(shop: Shop, day: date, hours: float, said: SaidBy) -> None:
    """Let the shop work on a day on which it would be closed."""
    if not 0 < hours <= MOST_HOURS:
        raise Refusal("Say how many hours the shop works that day, up to 24.", "hours")
    if _newest(OpenDay, shop, day) != hours:
        OpenDay.objects.create(
            shop=shop, day=day, hours=hours, reason=said.reason, by=said.by, at=said.now
        )


@transaction.atomic
def allow_overtime(shop: Shop, day: date, hours: float, said: SaidBy) -> None:
    """Allow each mechanic more overtime on a day than the shop's usual limit; 0 takes it back."""
    if not 0 <= hours <= MOST_OVERTIME:
        raise Refusal("Say how many more hours, from 0 to 12.", "hours")
    if _newest(OvertimeDay, shop, day) != hours:
        OvertimeDay.objects.create(
            shop=shop, day=day, hours=hours, reason=said.reason, by=said.by, at=said.now
        )


@transaction.atomic
def note_absence(person: Person, first_day: date, last_day: date, said: SaidBy) -> Absence:
    """Note that somebody is away from a day to a day, both included."""
    if last_day < first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    row, _ = Absence.objects.get_or_create(
        person=person,
        first_day=first_day,
        last_day=last_day,
        defaults={"reason": said.reason, "by": said.by, "at": said.now},
    )
    return row


def _newest(model: type[OpenDay] | type[OvertimeDay], shop: Shop, day: date) -> float:
    """Return the hours that count for a day; 0 where nothing was said."""
    rows = model._default_manager.filter(shop=shop, day=day).order_by("-pk")
    return rows.values_list("hours", flat=True).first() or 0.0
