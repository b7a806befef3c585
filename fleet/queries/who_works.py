"""Where people work on a day: in their own shop, or lent to another."""

from datetime import date

from django.db.models import Q, QuerySet

from fleet.models import LentHand, Machine, Person, Shop


def hands_at(shop: Shop, first_day: date, last_day: date | None = None) -> QuerySet[Person]:
    """Return who is lent to a shop on a day, or on some day of several."""
    lent = LentHand.objects.filter(
        shop=shop, first_day__lte=last_day or first_day, last_day__gte=first_day
    )
    return Person.objects.filter(pk__in=lent.values("person"), is_active=True)


def workers_at(shop: Shop, first_day: date, last_day: date | None = None) -> QuerySet[Person]:
    """Return the mechanics of a shop and who is lent to it on those days."""
    hands = hands_at(shop, first_day, last_day)
    return Person.objects.filter(
        Q(shop=shop, role="mechanic") | Q(pk__in=hands.values("pk")), is_active=True
    )


def machines_at_work(person: Person, day: date) -> QuerySet[Machine]:
    """Return the machines that a person may look at, and those of the shop they are lent to."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    if person.shop_id is None:
        return rows
    lent = LentHand.objects.filter(person=person, first_day__lte=day, last_day__gte=day)
    return rows.filter(Q(yard__shop=person.shop_id) | Q(yard__shop__in=lent.values("shop")))


def shop_on(person: Person, day: date) -> Shop | None:
    """Return the shop in which somebody works on a day."""
    lent = LentHand.objects.filter(person=person, first_day__lte=day, last_day__gte=day)
    hand = lent.select_related("shop").first()
    return hand.shop if hand else person.shop
