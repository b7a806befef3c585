"""Lists of days that passed while the machine was off, kept from the plan as it stood.

A day's list is a fact, against which the work is judged (`KeptDay`).  Where no night kept it, the
next one does, before anything is planned again: the plan of the last night still says what stood on
each day that it reached.
"""

from datetime import date, datetime, timedelta

from fleet.models import KeptDay, Shop
from scheduling.hindsight.list_keeping import keep_list

LONGEST_BACK = 60
"""Days: farther back no plan reaches."""


def keep_missed_lists(shop: Shop, ahead: date, now: datetime) -> int:
    """Keep the lists of the days since the last one that was kept, up to the day before `ahead`."""
    last = KeptDay.objects.filter(shop=shop, day__lt=ahead).order_by("-day").first()
    if last is None:
        return 0
    first = max(last.day, ahead - timedelta(days=LONGEST_BACK)) + timedelta(days=1)
    days = [first + timedelta(days=n) for n in range((ahead - first).days)]
    return sum(keep_list(shop, day, now) is not None for day in days)
