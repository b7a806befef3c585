"""What was measured on a machine before, to stand beside what is measured now."""

from collections.abc import Collection, Iterable
from datetime import date

from fleet.models import Machine, Measurement
from fleet.queries.standing_records import corrected_records
from fleet.saying import short_date

FEW = 3
"""Values of one limit that are shown: enough to see which way it goes."""


def last_measured(
    machine: Machine, limits: Collection[int], today: date
) -> dict[tuple[int, str], list[str]]:
    """Return limit and place -> the last values with their days, the latest first; one query."""
    found = last_of_machines([machine], limits, today)
    return {(limit, place): said for (_, limit, place), said in found.items()}


def last_of_machines(
    machines: Iterable[Machine], limits: Collection[int], today: date
) -> dict[tuple[int, int, str], list[str]]:
    """Return the same by machine, limit and place; one query however many machines."""
    zones = {machine.pk: machine.yard.zone for machine in machines}
    if not (limits and zones):
        return {}
    rows = (
        Measurement.objects.filter(record__machine__in=zones, limit__in=limits, record__void=False)
        .exclude(record__in=corrected_records())
        .select_related("record")
    )
    found: dict[tuple[int, int, str], list[str]] = {}
    for row in rows.order_by("-record__done_at", "-pk"):
        machine = row.record.machine_id
        said = found.setdefault((machine, row.limit_id, row.place), [])
        if len(said) < FEW:
            day = row.record.done_at.astimezone(zones[machine]).date()
            said.append(f"{row.value:g} on {short_date(day, today)}")
    return found
