"""Who may put a fact right: who wrote it, on the same day; the role it is work of; managers always.

A mechanic puts right what was done at the bench of their shop, the desk the hand-overs and bookings
of its shop.
"""

from dataclasses import dataclass
from datetime import datetime

from fleet.models import Machine, Person, Role, Shop


@dataclass(frozen=True)
class AuthoredFact:
    """Who wrote a fact, when, and in which shop; work_of: the roles whose work it is."""

    by_id: int | None
    at: datetime
    shop: Shop
    work_of: tuple[Role, ...] = ()


def may_correct(person: Person, fact: AuthoredFact, now: datetime) -> bool:
    """Tell whether a person may put a fact right now."""
    if person.manages:
        return True
    if person.only_shop_id is not None and person.only_shop_id != fact.shop.pk:
        return False
    if person.role in fact.work_of:
        return True
    return person.pk == fact.by_id and _same_day(fact, now)


def _same_day(fact: AuthoredFact, now: datetime) -> bool:
    zone = fact.shop.zone
    return fact.at.astimezone(zone).date() == now.astimezone(zone).date()


def written_on(machine: Machine, by_id: int | None, at: datetime, *work_of: Role) -> AuthoredFact:
    """Return who wrote a fact of a machine, and when."""
    return AuthoredFact(by_id, at, machine.yard.shop, work_of)
