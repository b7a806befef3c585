"""Bookings as a client of the interface sees them: those of the machines that its key reaches."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Booking, ClientKey, HandOver
from fleet.queries.standing_keys import machines_of_key


@dataclass(frozen=True)
class BookingsAsked:
    """Those that touch some days; of one machine, of a customer, where those are said."""

    first: date
    last: date
    tag: str = ""
    customer: str = ""


def bookings_of_key(key: ClientKey) -> QuerySet[Booking]:
    """Return the bookings that a key reaches, with out and back beside each."""
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    rows = Booking.objects.select_related("machine__makeup__machine_class", "machine__yard__shop")
    rows = rows.annotate(
        went=Exists(handed.filter(direction=HandOver.Direction.OUT)),
        came=Exists(handed.filter(direction=HandOver.Direction.BACK)),
    )
    if key.shop_id:
        rows = rows.filter(machine__in=machines_of_key(key).values("pk"))
    return rows


def booking_numbered(key: ClientKey, number: int) -> Booking | None:
    """Return one of them by its number."""
    return bookings_of_key(key).filter(pk=number).first()


def bookings_asked(key: ClientKey, asked: BookingsAsked, most: int) -> list[Booking]:
    """Return at most so many bookings, by first day; one query."""
    rows = bookings_of_key(key).filter(first_day__lte=asked.last, last_day__gte=asked.first)
    if asked.tag:
        rows = rows.filter(machine__tag__iexact=asked.tag)
    if asked.customer:
        rows = rows.filter(customer__icontains=asked.customer)
    return list(rows.order_by("first_day", "pk")[:most])
