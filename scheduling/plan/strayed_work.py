"""Planned work of machines that are no longer the shop's to work on: it goes first.

A plan is a consequence and is made anew soon; before that the lists lose a machine that was
retired, or that another shop serves now.
"""

from collections.abc import Collection
from datetime import date, datetime

from django.db.models import F, Q

from fleet.models import Shop
from scheduling.calendar.revisions import revise
from scheduling.models import PlannedJob, PlannedWork


def drop_strayed(machine_ids: Collection[int], now: datetime) -> set[int]:
    """Take planned work of some machines out of plans that it does not belong to.

    Returns the keys of the shops whose plans these were; one query where there is none.
    """
    elsewhere = ~Q(machine__yard__shop=F("plan__shop"))
    retired = Q(machine__retired_on__lte=_latest(now))
    rows = PlannedWork.objects.filter(elsewhere | retired, machine__in=machine_ids)
    found = list(rows.values_list("pk", "job", "plan__shop"))
    if not found:
        return set()
    PlannedWork.objects.filter(pk__in=[pk for pk, _, _ in found]).delete()
    PlannedJob.objects.filter(pk__in={job for _, job, _ in found if job}).delete()
    for shop in Shop.objects.filter(pk__in={shop for _, _, shop in found}).order_by("pk"):
        revise(shop, now)
    return {shop for _, _, shop in found}


def _latest(now: datetime) -> date:
    """Return the day in UTC: a machine is retired on a day that has come."""
    return now.date()
