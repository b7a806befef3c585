"""Which calendars a person may subscribe to, each with its address."""

from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse

from fleet.models import Person, Role
from fleet.queries.mine import shops_of


@dataclass(frozen=True)
class Subscribed:
    """One calendar: whose days it holds, and its address."""

    whose: str
    address: str


def calendars_of(person: Person, token: str) -> list[Subscribed]:
    """Return a mechanic's own days and the whole shop's; for who manages, each mechanic's too."""
    shops = list(shops_of(person))
    mine = [person] if person.role == Role.MECHANIC and person.shop_id else []
    rows = Person.objects.filter(role=Role.MECHANIC, is_active=True, shop__in=shops)
    others = rows.exclude(pk=person.pk).order_by("first_name", "username") if person.manages else []
    return [
        *(_of(one, token, "Your own shop days") for one in mine),
        *(
            Subscribed(f"All of {shop}", _address("calendar-shop", token, shop.pk))
            for shop in shops
        ),
        *(_of(one, token, str(one)) for one in others),
    ]


def _of(person: Person, token: str, whose: str) -> Subscribed:
    return Subscribed(whose, _address("calendar-mechanic", token, person.username))


def _address(name: str, *args: object) -> str:
    return settings.BASE_URL + reverse(name, args=args)
