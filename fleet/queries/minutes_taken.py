"""How many minutes services took, by service and make-up, from the entries that stand."""

from collections.abc import Collection
from typing import Any

from django.db.models import Count, QuerySet, Sum

from fleet.learnt_minutes import LearntMinutes, learnt_minutes
from fleet.queries.standing_records import standing_records


class MinutesTaken:
    """What is known of the minutes of services on some make-ups; one query."""

    def __init__(self, makeups: Collection[int] | QuerySet[Any, Any]) -> None:
        """makeups: their keys, or a query for them."""
        rows = standing_records().filter(
            service__isnull=False, minutes__gt=0, machine__makeup__in=makeups
        )
        told = rows.order_by().values_list("service", "machine__makeup")
        found = told.annotate(Sum("minutes"), Count("pk"))
        self._taken = {(service, makeup): (total, n) for service, makeup, total, n in found}

    def of(self, service: int, makeup: int, planned: int) -> LearntMinutes:
        """Return what is learnt of a service on a make-up; planned: minutes that were set up."""
        total, count = self._taken.get((service, makeup), (0, 0))
        return learnt_minutes(planned, total, count)
