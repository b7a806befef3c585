"""A part of the day's pull list is not on the shelf: said once, and the plan is made again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.order_parts import MissingPart, miss_part
from fleet.models import OrderLine, Person
from scheduling.actions.replan import plan_again
from scheduling.models import PlannedWork
from scheduling.queries.in_its_place import InItsPlace, in_its_place
from scheduling.queries.planned_parts import planned_parts


@dataclass(frozen=True)
class AfterMissing:
    """What came of it: the line of the order list, and what is pulled in its place from now on."""

    line: OrderLine | None
    instead: Sequence[InItsPlace] = ()


@transaction.atomic
def miss_on_pull(
    missing: MissingPart, work: Sequence[PlannedWork], *, by: Person, now: datetime
) -> AfterMissing:
    """Correct the shelf, put the part on the order list, plan again, and say what stands in.

    work: that of the pull list which takes the part.
    """
    line = miss_part(missing, by=by, now=now)
    plan_again(missing.shop, by=by, now=now)
    planned = planned_parts(missing.shop, now.astimezone(missing.shop.zone).date())
    return AfterMissing(line, in_its_place(missing.part, work, planned))
