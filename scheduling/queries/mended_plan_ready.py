"""What facts have undone of a shop's published days, and the mended plan that waits beside it."""

from fleet.models import Shop
from scheduling.models import Trial


def mended_plan(shop: Shop) -> Trial | None:
    """Return the mend that the program itself worked out, or works out, for this shop; one query.

    Its cause is the line to show.
    """
    rows = Trial.objects.filter(shop=shop, by=None)
    return rows.filter(state__in=(Trial.State.ASKED, Trial.State.READY)).first()
