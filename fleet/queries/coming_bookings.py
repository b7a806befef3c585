"""What a machine is promised for: bookings to come, and the one on which it is out."""

from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Booking, HandOver, Machine, Person, Role


def coming_bookings(machine: Machine, today: date) -> QuerySet[Any]:
    """Return bookings that are not over, soonest first, with is_out beside each.

    One whose last day has gone by counts as long as the machine is out on it.
    """
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    gone = Exists(handed.filter(direction=HandOver.Direction.OUT))
    rows = Booking.objects.filter(
        ~Exists(handed.filter(direction=HandOver.Direction.BACK)),
        machine=machine,
        cancelled_at=None,
    ).annotate(is_out=gone)
    return rows.filter(Q(last_day__gte=today) | Q(is_out=True)).order_by("first_day", "pk")


def to_answer(machine: Machine, today: date) -> list[Booking]:
    """Return the promises of a machine that can still go another way: it is not out on them."""
    return list(coming_bookings(machine, today).filter(is_out=False))


def may_answer(person: Person) -> bool:
    """Whether somebody may say what becomes of bookings: the desk's work, and the manager's."""
    return person.manages or person.role == Role.DESK


def out_on(machine: Machine, today: date) -> Booking | None:
    """Return the booking on which a machine is out now."""
    found: Booking | None = coming_bookings(machine, today).filter(is_out=True).first()
    return found
