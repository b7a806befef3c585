"""What is a person's own: what is of their shop, or of every shop if they have none."""

from datetime import UTC, date, datetime

from django.db.models import QuerySet

from fleet.models import Machine, Person, Shop, Yard


def shops_of(person: Person) -> QuerySet[Shop]:
    """Return the shops that a person may look at, by name."""
    rows = Shop.objects.order_by("name")
    return rows.filter(pk=person.only_shop_id) if person.only_shop_id else rows


def shop_asked(person: Person, name: str) -> Shop | None:
    """Return the shop of that name if a person may look at it, else their first."""
    mine = shops_of(person)
    return mine.filter(name=name).first() or mine.first()


def shops_in_sight(person: Person) -> QuerySet[Shop]:
    """Return the shops whose Yard and shop days a person may look at, theirs and others, by name.

    In the others they change nothing: whatever is changed goes by `shops_of`.
    """
    rows = Shop.objects.order_by("name")
    only = person.only_shop_id
    return rows.filter(pk__in=[only, *person.sees_too]) if only else rows


def shop_looked_at(person: Person, name: str) -> Shop | None:
    """Return the shop of that name if a person may look at it, else their first."""
    return shops_in_sight(person).filter(name=name).first() or shops_of(person).first()


def looks_only(person: Person, shop: Shop | None) -> Shop | None:
    """Return a shop if a person may look at it and change nothing in it, else None."""
    return shop if shop is not None and person.only_shop_id not in (None, shop.pk) else None


def people_of(person: Person) -> QuerySet[Person]:
    """Return who works in the shops that a person may look at."""
    return Person.objects.filter(shop__in=shops_of(person)).select_related("shop")


def yards_of(person: Person) -> QuerySet[Yard]:
    """Return the yards of a person's shops, by name."""
    return Yard.objects.filter(shop__in=shops_of(person)).select_related("shop").order_by("name")


def yards_in(shop: Shop) -> QuerySet[Yard]:
    """Return the yards of a shop, by name."""
    return Yard.objects.filter(shop=shop).order_by("name")


def machines_of(person: Person) -> QuerySet[Machine]:
    """Return the machines, retired ones too, that a person may look at."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    return rows.filter(yard__shop=person.only_shop_id) if person.only_shop_id else rows


def home_shop(person: Person) -> Shop | None:
    """Return a person's shop, else the first that was set up."""
    return person.shop or Shop.objects.first()


def machine_of(person: Person, tag: str) -> Machine | None:
    """Return the machine of a tag, in capitals or not, among those that a person may look at."""
    return machines_of(person).filter(tag__iexact=tag).first()


def yards_beside(person: Person, machine: Machine) -> QuerySet[Yard]:
    """Return the yards of a person's shops but for that where a machine lives."""
    return yards_of(person).exclude(pk=machine.yard_id)


def day_of(person: Person, now: datetime) -> date:
    """Return a person's day: that of their shop, else of the first shop, else in UTC."""
    shop = home_shop(person)
    return now.astimezone(shop.zone if shop else UTC).date()
