"""Who managed the only shop and adds another one becomes the owner of both."""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.logged_words import values_of
from fleet.models import Person, Role, Shop
from fleet.queries.shop_reach import an_owner_is_there


@transaction.atomic
def own_what_grew(person: Person, shop: Shop, *, now: datetime) -> None:
    """Let a site of several shops have an owner, where it has none.

    Else nobody would look after the new shop: its maker is bound to the one they had.
    """
    bound = person.only_shop_id
    if bound in (None, shop.pk) or an_owner_is_there(but=person):
        return
    before = values_of(person, ["role"])
    person.role = Role.OWNER
    person.save(update_fields=["role"])
    changed = differences(before, values_of(person, ["role"]))
    keep_change(person, "became owner", changed, by=person, now=now, reason=f"added {shop}")
