"""Letters to the desk: something is free for a customer who waits.

Looked at whenever facts of machines change, and each night.  A wait is told of once; if what was
free is taken by somebody else meanwhile, it is told of again when something comes free once more.
"""

from collections.abc import Collection, Sequence
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max

from fleet.booked_times import PromisedDays, say_booked
from fleet.models import Shop, Waiting
from fleet.saying import say_span
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import wanted_still
from scheduling.models import Notice
from scheduling.notices.addressees import desk
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter, link, mark, write
from scheduling.notices.posting import NewNotice, put_all
from scheduling.queries.waits_to_serve import free_for, waits_for, waits_of


def tell_of_waits(shop: Shop, now: datetime, machine_ids: Collection[int] | None = None) -> int:
    """Tell the desk who can be served by now; return how many letters were made."""
    today = now.astimezone(shop.zone).date()
    rows = waits_of([shop], today)
    if machine_ids is not None:
        rows = waits_for(machine_ids, shop, today)
    return sum(_tell(row, shop, now) for row in rows)


def seen_by_desk(row: Waiting, now: datetime) -> None:
    """Count a wait as told where something is free already: the desk sees it as it is written."""
    if free_for(row, now.astimezone(row.yard.zone).date()):
        Waiting.objects.filter(pk=row.pk).update(told_at=now)


def _tell(row: Waiting, shop: Shop, now: datetime) -> int:
    today = now.astimezone(shop.zone).date()
    free = free_for(row, today)
    own = Waiting.objects.filter(pk=row.pk, over_at=None)
    if not free:
        if row.told_at:
            own.update(told_at=None)
        return 0
    if row.told_at:
        return 0
    with transaction.atomic():
        if not own.filter(told_at=None).update(told_at=now):
            return 0  # somebody else looked at the same moment
        rounds = Notice.objects.filter(waiting=row).aggregate(last=Max("round"))["last"]
        cause = NoticeCause(Notice.Kind.FREE, waiting_id=row.pk)
        letter, number = _letter(row, free, today), 0 if rounds is None else rounds + 1
        machine = free[0].machine
        news = [NewNotice(cause, one, shop, letter, machine, number) for one in desk(shop)]
        return put_all(news, now)


def _letter(row: Waiting, free: Sequence[Availability], today: date) -> Letter:
    wanted = wanted_still(row, today)
    span = say_span(wanted.first, wanted.last, today)
    if wanted.timed:
        span = say_booked(
            PromisedDays(wanted.first, wanted.last, wanted.from_time, wanted.to_time), today
        )
    best = free[0].machine
    context = {
        "mark": mark("clear"),
        "row": row,
        "best": best,
        "others": [one.machine for one in free[1:4]],
        "span": span,
        "waits_url": link("waits"),
    }
    return write("free", f"{best.tag} is free for {row.customer}, {span}", context)
