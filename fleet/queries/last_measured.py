"""What was measured on a machine before, to stand beside what is measured now."""

from collections.abc import Collection
from datetime import date

from fleet.models import Machine, Measurement
from fleet.saying import short_date

FEW = 3
"""Values of one limit that are shown: enough to see which way it goes."""


def last_measured(
    machine: Machine, limits: Collection[int], today: date
) -> dict[tuple[int, str], list[str]]:
    """Return limit and place -> the last values with their days, the latest first; one query."""
    if not limits:
        return {}
    rows = Measurement.objects.filter(
        record__machine=machine, limit__in=limits, record__corrected_by=None, record__void=False
    ).select_related("record")
    found: dict[tuple[int, str], list[str]] = {}
    for row in rows.order_by("-record__done_at", "-pk"):
        said = found.setdefault((row.limit_id, row.place), [])
        if len(said) < FEW:
            day = row.record.done_at.astimezone(machine.yard.zone).date()
            said.append(f"{row.value:g} on {short_date(day, today)}")
    return found
