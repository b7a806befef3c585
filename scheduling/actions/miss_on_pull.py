"""A part of the day's pull list is not on the shelf: said once, and the plan is made again."""

from datetime import datetime

from django.db import transaction

from fleet.actions.order_parts import AfterMissing, MissingPart, miss_part
from fleet.models import Person
from scheduling.actions.replan import plan_again


@transaction.atomic
def miss_on_pull(missing: MissingPart, *, by: Person, now: datetime) -> AfterMissing:
    """Correct the shelf, look for a substitute, put the part on the order list, and plan again."""
    after = miss_part(missing, by=by, now=now)
    plan_again(missing.shop, by=by, now=now)
    return after
