"""The first plan of a shop comes by itself, as soon as the last thing that it needs is there."""

import logging
from datetime import datetime

from scheduling.models import PlanSearch
from scheduling.plan import searches
from scheduling.queries.plan_needs import await_first_plan, plan_needs

logger = logging.getLogger(__name__)


def ask_first_plans(now: datetime) -> list[PlanSearch]:
    """Owe the first plan of each shop that has all it needs and none yet; one query if none has.

    The sweep looks, half a minute after a change at most, so that no act waits for it.
    """
    asked = []
    for shop in await_first_plan():
        try:
            if not plan_needs(shop, now.astimezone(shop.zone).date()).first:
                asked.append(searches.ask(shop, by=None, now=now))
        except Exception:  # what is broken in one shop stops no other
            logger.exception("Whether %s can have its first plan could not be told.", shop)
    return asked
