"""The counter's day: what goes out, what comes back, what is still out past its day."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Booking, HandOver, Machine, Shop
from fleet.saying import counted
from scheduling.availability.answer import Availability, answer
from scheduling.availability.counter_facts import StandingBooking, left_of, of_booking
from scheduling.queries.may_go_out import standings


@dataclass(frozen=True)
class GoingOut:
    """One booking that is to go out, and whether its machine may."""

    booking: Booking
    answer: Availability


@dataclass(frozen=True)
class CounterDay:
    """One day at the counter."""

    going_out: Sequence[GoingOut]
    coming_back: Sequence[Booking]
    late: Sequence[Booking]

    @property
    def stopped(self) -> int:
        """How many of the machines that are to go out may not."""
        return sum(not entry.answer.yes for entry in self.going_out)

    @property
    def sentence(self) -> str:
        """Say the day: "3 machines go out today, 2 come back; 1 is still out past its day."."""
        going, coming = len(self.going_out), len(self.coming_back)
        out = f"{counted(going, 'machine')} {'goes' if going == 1 else 'go'} out today"
        back = f"{coming} {'comes' if coming == 1 else 'come'} back"
        late = len(self.late)
        tail = f"; {late} {'is' if late == 1 else 'are'} still out past {_its(late)} day"
        return f"{out}, {back}{tail if late else ''}."


def _its(number: int) -> str:
    return "its" if number == 1 else "their"


def counter_day(shops: Iterable[Shop], today: date, now: datetime | None = None) -> CounterDay:
    """Gather the day of some shops, with a fixed number of queries.

    now: the time of day, since a machine that was to be back at noon is late at one.
    """
    rows: list[Any] = list(_bookings(shops, today))
    waiting = [row for row in rows if not row.is_out and row.last_day >= today]
    out = [row for row in rows if row.is_out]
    late = [row for row in out if _is_late(row, today, now)]
    back_today = [row for row in out if row.last_day == today and row not in late]
    return CounterDay(_answered(waiting, today, now), back_today, late)


def _is_late(row: Booking, today: date, now: datetime | None) -> bool:
    return StandingBooking(row, is_out=True).is_late(today, row.machine, now)


def _bookings(shops: Iterable[Shop], today: date) -> QuerySet[Booking]:
    """Return bookings that are out, or are to go out by today, with is_out beside each."""
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    gone = Exists(handed.filter(direction=HandOver.Direction.OUT))
    return (
        Booking.objects.filter(
            ~Exists(handed.filter(direction=HandOver.Direction.BACK)),
            Q(last_day__gte=today) | gone,
            machine__yard__shop__in=list(shops),
            cancelled_at=None,
            first_day__lte=today,
        )
        .annotate(is_out=gone)
        .select_related("machine__now", "machine__makeup__machine_class", "machine__yard__shop")
        .order_by("last_day", "machine__tag")
    )


def _answered(bookings: Sequence[Booking], today: date, now: datetime | None) -> list[GoingOut]:
    """Ask for each booking, its own promise left out of account."""
    machines: dict[int, Machine] = {row.machine_id: row.machine for row in bookings}
    known = {one.machine.pk: one for one in standings(machines.values(), today, now=now)}
    found = []
    for row in bookings:
        own = known[row.machine_id]
        said = answer(of_booking(own, row), left_of(row, today, now), today)
        found.append(GoingOut(row, said))
    return sorted(found, key=lambda one: (one.answer.yes, one.booking.machine.tag))
