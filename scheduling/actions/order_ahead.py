"""What the weeks to come take beyond the shelf goes onto the order list, one part or all."""

from datetime import datetime

from django.db import transaction

from fleet.actions.order_parts import MissingPart, order_more
from fleet.models import OrderLine, Person, Shop
from scheduling.queries.narrowed_yard import YardNarrowing
from scheduling.queries.parts_to_order import parts_to_order


@transaction.atomic
def order_ahead(
    shop: Shop,
    part: int | None = None,
    *,
    by: Person,
    now: datetime,
    chosen: YardNarrowing | None = None,
) -> list[OrderLine]:
    """Put a part, or all of them, onto a shop's order list; what stands there is not put twice.

    chosen: of all of them those alone that lack for these machines or this service.

    What lacks is worked out here, with the shop's row locked, from what there is by now.
    """
    Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)
    today = now.astimezone(shop.zone).date()
    wanted = parts_to_order(shop, today).narrowed(chosen or YardNarrowing()).rows
    return [
        order_more(
            MissingPart(row.part, shop, row.lacks, 0.0, row.need_by, row.jobs), by=by, now=now
        )
        for row in wanted
        if part in (None, row.part.pk)
    ]
