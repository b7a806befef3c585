"""One booking with all that hangs on it, and the bookings that a person may look at."""

from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Booking, BookingChange, HandOver, LoggedChange, Override, Person
from fleet.queries.safety_findings import asks_for_safety


def bookings_of(person: Person) -> QuerySet[Booking]:
    """Return the bookings of the machines that a person may look at."""
    rows = Booking.objects.select_related(
        "machine__now",
        "machine__makeup__machine_class",
        "machine__yard__shop",
        "made_by",
        "hire__customer",
    )
    return rows.filter(machine__yard__shop=person.only_shop_id) if person.only_shop_id else rows


def bookings_to_hand_over(person: Person) -> QuerySet[Any]:
    """Return them with asks and handed beside each.

    asks: whether findings for safety are open on its machine; handed: whether it has gone out.
    """
    handed = Exists(HandOver.objects.filter(booking=OuterRef("pk")))
    return bookings_of(person).annotate(asks=asks_for_safety("machine"), handed=handed)


def hand_overs_of(booking: Booking) -> dict[str, HandOver]:
    """Return the hand-overs of a booking by direction, with their readings; two queries."""
    rows = booking.hand_overs.select_related("by")
    rows = rows.prefetch_related("readings__meter", "readings__corrected_by")
    return {row.direction: row for row in rows}


def struck_hand_overs(booking: Booking) -> QuerySet[HandOver]:
    """Return the hand-overs of a booking that were undone or put right, with what they said."""
    rows = HandOver.every.filter(booking=booking).exclude(struck_at=None)
    rows = rows.select_related("by", "struck_by", "corrected_by")
    return rows.prefetch_related("readings__meter", "readings__corrected_by").order_by("struck_at")


def handed_to(person: Person) -> QuerySet[HandOver]:
    """Return all hand-overs, struck ones too, of the machines that a person may look at."""
    rows = HandOver.every.select_related(
        "booking__machine__yard__shop", "booking__machine__makeup__machine_class", "by"
    )
    return rows.filter(booking__in=bookings_of(person))


def hand_overs_made(booking: Booking) -> dict[str, HandOver]:
    """Return the bare hand-overs of a booking by direction: out, back; one query."""
    return {row.direction: row for row in booking.hand_overs.all()}


def changes_of(booking: Booking) -> QuerySet[BookingChange]:
    """Return what was changed in a booking, with who did."""
    return booking.changes.select_related("by")


def overrides_of(booking: Booking) -> list[Any]:
    """Return what was decided against a block of it, with who did; two queries.

    taken_back beside each: who took it back, when and why, while the machine was here; else None.
    """
    rows: list[Any] = list(booking.overrides.select_related("by", "machine").order_by("at", "pk"))
    struck = [row.pk for row in rows if row.struck]
    kind = str(Override._meta.verbose_name)
    log = LoggedChange.objects.filter(kind=kind, act=Override.TAKEN_BACK, subject_id__in=struck)
    told = {each.subject_id: each for each in log.select_related("by")} if struck else {}
    for row in rows:
        row.taken_back = told.get(row.pk)
    return rows
