"""Somebody of one shop is let look at another, changing nothing there; undone as it was done.

It is told twice: of the person, for those of their shop, and of the shop that is looked at.
"""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.models import Person, Role, Shop
from fleet.queries.who_looks import LET_LOOK, name_kept
from fleet.refusal import Refusal

FIELD = "shops that they may look at"
OF_SHOP = "who of other shops may look at it"
NO_LONGER = "no longer looked at"


@transaction.atomic
def let_look(person: Person, shop: Shop, *, may: bool, by: Person, now: datetime) -> None:
    """Let a person look at a shop, or no longer; pressed twice it is done once."""
    row = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    if may and row.only_shop_id is None:
        raise Refusal(f"{row} sees every shop as it is.")
    if may and (row.role == Role.HAND or row.only_shop_id == shop.pk):
        raise Refusal(f"{row} cannot be let look at {shop}.")
    before = list(row.sees_too)
    row.sees_too = sorted({*before, shop.pk} if may else {*before} - {shop.pk})
    if row.sees_too == before:
        return
    row.save(update_fields=["sees_too"])
    change = ChangedValue(FIELD, "" if may else str(shop), str(shop) if may else "")
    keep_change(row, "changed", [change], by=by, now=now)
    name = name_kept(row)
    of_shop = ChangedValue(OF_SHOP, "" if may else name, name if may else "")
    keep_change(shop, LET_LOOK if may else NO_LONGER, [of_shop], by=by, now=now)
