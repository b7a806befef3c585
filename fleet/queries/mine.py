"""What belongs to a person: the machines and shops of their own shop, or all if they have none."""

from datetime import UTC, date, datetime

from django.db.models import QuerySet

from fleet.models import Machine, Person, Shop


def shops_of(person: Person) -> QuerySet[Shop]:
    """Return the shops that a person may look at."""
    return Shop.objects.filter(pk=person.shop_id) if person.shop_id else Shop.objects.all()


def machines_of(person: Person) -> QuerySet[Machine]:
    """Return the machines, retired ones too, that a person may look at."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    return rows.filter(yard__shop=person.shop_id) if person.shop_id else rows


def day_of(person: Person, now: datetime) -> date:
    """Return a person's day: that of their shop, else of the first shop, else in UTC."""
    shop = person.shop or Shop.objects.first()
    return now.astimezone(shop.zone if shop else UTC).date()
