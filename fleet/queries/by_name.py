"""Shops, yards and people by the name that somebody typed behind a command."""

from fleet.models import Person, Shop, Yard


def all_shops() -> list[Shop]:
    """Return every shop, by name."""
    return list(Shop.objects.order_by("name"))


def shop_named(name: str) -> Shop | None:
    """Return the shop of that name, in capitals or not."""
    return Shop.objects.filter(name__iexact=name.strip()).first()


def yard_named(name: str) -> Yard | None:
    """Return the yard of that name, in capitals or not."""
    return Yard.objects.filter(name__iexact=name).first()


def yard_names() -> list[str]:
    """Return the names of all yards, in order."""
    return list(Yard.objects.order_by("name").values_list("name", flat=True))


def person_named(username: str) -> Person | None:
    """Return who signs in by that name."""
    return Person.objects.filter(username=username).first()


def anybody_there() -> bool:
    """Whether the site has any account yet."""
    return Person.objects.exists()
