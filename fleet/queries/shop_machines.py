"""Machines of a shop's yards, and the bookings on which some are out."""

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Booking, HandOver, Machine, Shop


def machines_in(shop: Shop) -> QuerySet[Machine]:
    """Return the machines of a shop's yards, retired ones too."""
    return Machine.objects.filter(yard__shop=shop)


def working_machine(shop: Shop, tag: str) -> Machine | None:
    """Return the machine of that tag, in capitals or not, that is not retired."""
    rows = machines_in(shop).filter(retired_on=None, tag__iexact=tag)
    return rows.select_related("yard", "makeup").first()


def bookings_out(shop: Shop) -> QuerySet[Booking]:
    """Return the bookings on which machines are out and not back, by machine."""
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    rows = Booking.objects.filter(
        Exists(handed.filter(direction=HandOver.Direction.OUT)),
        ~Exists(handed.filter(direction=HandOver.Direction.BACK)),
        machine__in=machines_in(shop),
        cancelled_at=None,
    )
    return rows.select_related("machine").order_by("machine__tag", "pk")
