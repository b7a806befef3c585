"""What of a shop somebody may touch: the way from each model to the shop whose it is."""

from typing import Any, TypeVar

from django.db.models import Model, Q, QuerySet

from fleet.models import (
    Absence,
    BayLoan,
    CapacitySpell,
    ClosedDay,
    Delivery,
    Interval,
    LentHand,
    Machine,
    Person,
    Reading,
    Role,
    SeasonWeight,
    ServiceRecord,
    Shop,
    StockMovement,
    Yard,
)

M = TypeVar("M", bound=Model)

WAYS: dict[type[Model], str] = {
    Shop: "pk",
    Yard: "shop",
    Person: "shop",
    Absence: "person__shop",
    ClosedDay: "shop",
    Machine: "yard__shop",
    Reading: "meter__machine__yard__shop",
    ServiceRecord: "machine__yard__shop",
    StockMovement: "shop",
    Delivery: "shop",
    BayLoan: "shop",
    CapacitySpell: "shop",
    LentHand: "shop",
}
"""Model -> the lookup of its shop.  What is not here is set up for all shops together."""
OR_FOR_ALL: dict[type[Model], str] = {Interval: "machine__yard__shop", SeasonWeight: "yard__shop"}
"""The same for what may be of no shop, and then is everybody's."""


def within(person: Person, rows: QuerySet[M]) -> QuerySet[M]:
    """Return those rows that a person may touch who sets things up.

    Of people that excludes owners, unless an owner asks: nobody else gives an owner a password.
    """
    only: Any = person.only_shop_id
    if rows.model is Person and not person.owns:
        rows = rows.filter(~Q(role=Role.OWNER), is_superuser=False)
    if only is None:
        return rows
    if way := WAYS.get(rows.model):
        return rows.filter(**{way: only})
    if way := OR_FOR_ALL.get(rows.model):
        return rows.filter(Q(**{way: only}) | Q(**{f"{way.split('__')[0]}": None}))
    return rows


def bound_to(person: Person) -> int | None:
    """Return the number of the shop that is theirs alone where there are others, else None."""
    return None if serves_all(person) else person.only_shop_id


def serves_all(person: Person) -> bool:
    """Whether every shop is theirs: they are bound to none, or to the only one that there is."""
    only = person.only_shop_id
    return only is None or not Shop.objects.exclude(pk=only).exists()


def an_owner_is_there(but: Person) -> bool:
    """Whether somebody else owns the site and may sign in."""
    owners = Person.objects.filter(Q(role=Role.OWNER) | Q(is_superuser=True), is_active=True)
    return owners.exclude(pk=but.pk).exists()


def as_it_stands(person: Person) -> Person:
    """Return a person as they are kept, whatever a form has put into their row."""
    return Person.objects.get(pk=person.pk)
