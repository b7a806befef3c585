"""Who of other shops may look at a shop, and who may be let."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.models import LoggedChange, Person, Role, Shop


@dataclass(frozen=True)
class Looker:
    """Somebody of another shop who may look at this one; let: by whom and when, if it is kept."""

    person: Person
    let: LoggedChange | None


def lookers(shop: Shop) -> Sequence[Looker]:
    """Return who of other shops may look at a shop, by name; two queries.

    Which shops a person sees too is kept as a list, into which not every database can look.
    """
    rows = people_elsewhere(shop).exclude(sees_too=[]).select_related("shop")
    found = [person for person in rows if shop.pk in person.sees_too]
    kind = str(Shop._meta.verbose_name)
    told = LoggedChange.objects.filter(kind=kind, subject_id=shop.pk, act=LET_LOOK)
    by_name = {row.values[0]["new"]: row for row in told.select_related("by").order_by("at", "pk")}
    return sorted(
        (Looker(one, by_name.get(name_kept(one))) for one in found),
        key=lambda one: str(one.person),
    )


LET_LOOK = "let be looked at"
"""What the log of a shop says where somebody of another is let look at it."""


def name_kept(person: Person) -> str:
    """Return how the log names who may look: "Odile Marsh (odile)"."""
    return f"{person} ({person.username})"


def people_elsewhere(shop: Shop) -> QuerySet[Person]:
    """Return who works for another shop and nowhere else: neither owners nor hands."""
    rows = Person.objects.filter(is_active=True, is_superuser=False, shop__isnull=False)
    return rows.exclude(shop=shop).exclude(role__in=(Role.OWNER, Role.HAND))


def person_elsewhere(shop: Shop, username: str) -> Person | None:
    """Return who of another shop signs in by a name, in capitals or not."""
    return people_elsewhere(shop).filter(username__iexact=username).first()
