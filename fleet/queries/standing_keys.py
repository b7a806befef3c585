"""Keys of clients: the one that is shown, what it reaches, those that a person looks after."""

from datetime import UTC, date, datetime

from django.db.models import QuerySet

from fleet.models import ClientKey, Machine, Person, Shop, Yard
from fleet.models.client_keys import digest_of


def key_shown(word: str) -> ClientKey | None:
    """Return the key that stands for this word; one query."""
    rows = ClientKey.objects.select_related("shop", "answers")
    return rows.filter(digest=digest_of(word), revoked_at=None).first()


def keys_of(person: Person) -> QuerySet[ClientKey]:
    """Return the keys that a manager looks after: those of the own shop, or all without one."""
    rows = ClientKey.objects.select_related("shop", "answers", "made_by", "revoked_by")
    return rows.filter(shop=person.only_shop_id) if person.only_shop_id else rows


def yards_of_key(key: ClientKey) -> QuerySet[Yard]:
    """Return the yards whose machines a key reaches, by name."""
    rows = Yard.objects.select_related("shop").order_by("name")
    return rows.filter(shop=key.shop_id) if key.shop_id else rows


def machines_of_key(key: ClientKey) -> QuerySet[Machine]:
    """Return the machines, retired ones too, that a key reaches."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    return rows.filter(yard__shop=key.shop_id) if key.shop_id else rows


def machine_tagged_for(key: ClientKey, tag: str) -> Machine | None:
    """Return the machine of a tag, in capitals or not, among those that a key reaches."""
    return machines_of_key(key).filter(tag__iexact=tag.strip()).first()


def day_of_key(key: ClientKey, yard: Yard | None, now: datetime) -> date:
    """Return the day that it is: in the yard that is asked of, else in the shop."""
    place = yard or key.shop or Shop.objects.first()
    return now.astimezone(place.zone if place else UTC).date()
