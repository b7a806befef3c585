"""The first plan of a shop comes by itself, as soon as the last thing that it needs is there."""

from collections.abc import Collection
from datetime import datetime

from fleet.models import Shop
from scheduling.models import PlanSearch
from scheduling.plan import searches
from scheduling.queries.plan_needs import awaits_first_plan, plan_needs


def ask_first_plans(machine_ids: Collection[int], now: datetime) -> list[PlanSearch]:
    """Owe the first plan of each shop of these machines that has all it needs and none yet.

    One that is asked for already is not asked for again.
    """
    asked = []
    for shop in Shop.objects.filter(yards__machines__in=machine_ids).distinct():
        if not awaits_first_plan(shop):
            continue
        if PlanSearch.objects.filter(shop=shop, ended_at=None).exists():
            continue  # it looks at the facts when its turn comes
        if not plan_needs(shop, now.astimezone(shop.zone).date()).first:
            asked.append(searches.ask(shop, by=None, now=now))
    return asked
