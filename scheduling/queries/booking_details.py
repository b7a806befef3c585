"""One booking with all that hangs on it, and the bookings that a person may look at."""

from django.db.models import QuerySet

from fleet.models import Booking, HandOver, Person


def bookings_of(person: Person) -> QuerySet[Booking]:
    """Return the bookings of the machines that a person may look at."""
    rows = Booking.objects.select_related(
        "machine__now", "machine__makeup__machine_class", "machine__yard__shop", "made_by"
    )
    return rows.filter(machine__yard__shop=person.shop_id) if person.shop_id else rows


def hand_overs_of(booking: Booking) -> dict[str, HandOver]:
    """Return the hand-overs of a booking by direction, with their readings; two queries."""
    rows = booking.hand_overs.select_related("by").prefetch_related("readings__meter")
    return {row.direction: row for row in rows}
