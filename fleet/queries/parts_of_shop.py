"""Parts that a shop counts, and deliveries on their way to it."""

from django.db.models import QuerySet

from fleet.models import Delivery, Part, Shop


def counted_parts(shop: Shop) -> QuerySet[Part]:
    """Return the parts and fluids of which a shop keeps count, by name."""
    return Part.objects.filter(movements__shop=shop).distinct().order_by("name", "number")


def deliveries_to_come(shop: Shop) -> QuerySet[Delivery]:
    """Return the deliveries that have not come yet, the next first."""
    rows = Delivery.objects.filter(shop=shop, received_at=None, called_off_at=None)
    return rows.select_related("part").order_by("expected_on", "pk")


def any_part() -> QuerySet[Part]:
    """Return all parts and fluids."""
    return Part.objects.all()
