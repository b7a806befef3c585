"""Machines that are not back in time, each with the customer who is to have it next."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from fleet.booked_times import PromisedDays, due_back, say_booked
from fleet.models import Booking, HandOver, Machine, Shop
from fleet.models.places import zone_named
from fleet.saying import say_moment, short_date

LONGEST = timedelta(days=366)
"""How far back a machine that never came back is looked for."""
AHEAD = timedelta(days=7)
"""How soon the next customer has to come to be at risk."""


@dataclass(frozen=True)
class LateReturn:
    """A booking whose machine is not back at its end; following: whose turn it is within a week."""

    booking: Booking
    due: datetime
    now: datetime
    following: Booking | None = None

    @property
    def was_due(self) -> str:
        """Say when it was to be back."""
        zone = self.booking.machine.yard.zone
        today = self.now.astimezone(zone).date()
        if self.booking.to_time is None:
            return short_date(self.booking.last_day, today)
        return say_moment(self.due, zone, today)

    @property
    def next_days(self) -> str:
        """Say when the next customer is to have it."""
        if self.following is None:
            return ""
        today = self.now.astimezone(self.booking.machine.yard.zone).date()
        return say_booked(self.following.days, today)


def late_returns(now: datetime, shops: Iterable[Shop] | None = None) -> list[LateReturn]:
    """Return what is not back, the longest first; shops: of these alone.  Three queries at most."""
    rows = _out(now)
    if shops is not None:
        rows = rows.filter(machine__yard__shop__in=list(shops))
    due = {pk: at for pk, at in _due_back(rows) if at <= now}
    if not due:
        return []
    late = sorted(_with_names(due), key=lambda row: due[row.pk])
    following = _following([row.machine_id for row in late], now)
    return [LateReturn(row, due[row.pk], now, following.get(row.machine_id)) for row in late]


def late_of(machine: Machine, now: datetime) -> LateReturn | None:
    """Return on what booking a machine is out past its time, for who is to have it next."""
    rows = _out(now).filter(machine=machine).select_related("machine__yard", "hire__customer")
    for row in rows:
        at = due_back(row.days, row.machine.yard.zone)
        if at <= now:
            return LateReturn(row, at, now)
    return None


def _out(now: datetime) -> QuerySet[Booking]:
    """Return what is out and may be late; a yard's day is at most one ahead of that of UTC."""
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    return Booking.objects.filter(
        ~Exists(handed.filter(direction=HandOver.Direction.BACK)),  # most are: asked first
        Exists(handed.filter(direction=HandOver.Direction.OUT)),
        cancelled_at=None,
        last_day__range=((now - LONGEST).date(), (now + timedelta(days=1)).date()),
    )


def _due_back(rows: QuerySet[Booking]) -> Iterator[tuple[int, datetime]]:
    """Yield key and moment of return of each; few of those that end about now are late."""
    days = ("first_day", "last_day", "from_time", "to_time")
    for pk, zone, *said in rows.values_list("pk", "machine__yard__time_zone", *days):
        yield pk, due_back(PromisedDays(*said), zone_named(zone))


def _with_names(pks: Collection[int]) -> QuerySet[Booking]:
    return Booking.objects.filter(pk__in=pks).select_related(
        "machine__makeup__machine_class", "machine__yard__shop", "hire__customer"
    )


def _following(machine_ids: list[int], now: datetime) -> dict[int, Booking]:
    """Return machine -> the next booking of it that has not gone out."""
    if not machine_ids:
        return {}
    gone = HandOver.objects.filter(booking=OuterRef("pk"))
    rows = Booking.objects.filter(
        ~Exists(gone), machine__in=machine_ids, cancelled_at=None, ends_at__gt=now,
        starts_at__lt=now + AHEAD,
    ).select_related("hire__customer")  # fmt: skip
    return {row.machine_id: row for row in rows.order_by("-starts_at", "-pk")}
