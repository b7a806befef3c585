"""Which planned work brings a service about: its own, or that of a service which covers it.

The plan does a covered service with the one that covers it, and then has no work of its own for it.
"""

from collections.abc import Collection
from datetime import date
from typing import Any

from django.db.models import F

from fleet.queries.covered_services import covered_services
from scheduling.models import DuePoint, PlannedWork

Planned = dict[tuple[int, int], PlannedWork]
"""(machine, service) -> the first planned work after which the service counts as done."""


def planned_for(machine_ids: Collection[int], *, named: bool = False) -> Planned:
    """Return the work on shop days of these machines by all that it does; at most two queries.

    named: with its service, which not everybody speaks of.
    """
    rows = PlannedWork.objects.filter(
        machine__in=machine_ids, job__isnull=False, service__isnull=False
    ).select_related("job", *(["service"] if named else []))
    rows = rows.annotate(makeup_id=F("machine__makeup"))
    works: list[Any] = list(rows.order_by("-job__day", "-pk"))  # the earliest is written last
    covered = covered_services(None if works else ())
    found: Planned = {}
    for work in works:
        for service in covered.done_with(work.makeup_id, work.service_id):
            found[work.machine_id, service] = work
    return found


def day_of_work(planned: Planned, point: DuePoint) -> date | None:
    """Return the shop day after which a due point is met, if one is planned."""
    work = planned.get((point.machine_id, point.service_id))
    return work.job.ends if work and work.job else None
