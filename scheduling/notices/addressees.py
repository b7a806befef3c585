"""Who gets which notice: people of the shop, and those who belong to no shop and serve them all."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from fleet.models import Person, Role, Shop
from fleet.models.people import MANAGING


def managers(shop: Shop) -> QuerySet[Person]:
    """Fleet managers of a shop who are still with us."""
    return _active(shop).filter(Q(role__in=MANAGING) | Q(is_superuser=True))


def desk(shop: Shop) -> list[Person]:
    """The rental desk of a shop; its managers where, as on a ranch, nobody else keeps one."""
    return list(_active(shop).filter(role=Role.DESK)) or list(managers(shop))


def desk_among(people: Iterable[Person]) -> list[Person]:
    """The same among all who hear of a shop, where they are known."""
    people = list(people)
    keeps = [one for one in people if one.role == Role.DESK]
    return keeps or [one for one in people if one.manages]


def hearers(shop: Shop) -> QuerySet[Person]:
    """All who hear of a hold: managers, desk and mechanics; one query."""
    ours = Q(role__in=[*MANAGING, Role.DESK]) | Q(is_superuser=True)
    # who mends in no shop of ours is a hand lent by somebody else
    return _active(shop).filter(ours | Q(role=Role.MECHANIC, shop=shop))


def _active(shop: Shop) -> QuerySet[Person]:
    return Person.objects.filter(Q(shop=shop) | Q(shop=None), is_active=True).order_by("pk")
