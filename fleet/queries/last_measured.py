"""What was measured on a machine before, to stand beside what is measured now.

A quantity is told by its name and where it is measured, whatever service asked for it: a lining
that the basic service measured stands beside that of the yearly one.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import islice

from django.db.models import QuerySet

from fleet.measured_values import in_unit
from fleet.models import Limit, Machine, Measurement
from fleet.queries.standing_records import corrected_records
from fleet.saying import short_date

FEW = 3
"""Values of one quantity that are shown: enough to see which way it goes."""


@dataclass(frozen=True)
class ValueBefore:
    """One standing value, in the unit that it was taken in, and its day at the machine's yard."""

    value: float
    unit: str
    day: date


@dataclass(frozen=True)
class LastMeasured:
    """What was measured on some machines last.

    values: machine, name and place in small letters -> values, the latest first.  today: a day of
    another year is said with its year.
    """

    today: date
    values: Mapping[tuple[int, str, str], Sequence[ValueBefore]] = field(default_factory=dict)

    def said(self, machine_id: int, limit: Limit, place: str) -> str:
        """Say what was measured last: "last 3.4 on Thu 3 Dec, 3.6 on Mon 2 Nov", else nothing.

        Values are told in the limit's unit; one that was taken as another kind is left out.
        """
        found = self.values.get((machine_id, *_named(limit.name, place)), ())
        turned = ((value, one.day) for one in found if (value := _turned(one, limit)) is not None)
        said = [f"{value:.5g} on {short_date(day, self.today)}" for value, day in turned]
        return f"last {', '.join(islice(said, FEW))}" if said else ""


@dataclass(frozen=True)
class MeasuredQuantity:
    """One quantity of a machine at one place, and what was measured of it, the latest first."""

    name: str
    place: str
    values: Sequence[ValueBefore]


def measured_quantities(machine: Machine) -> list[MeasuredQuantity]:
    """Return all that was ever measured on a machine, by name and place; one query."""
    named: dict[tuple[str, str], tuple[str, str]] = {}
    found: dict[tuple[str, str], list[ValueBefore]] = {}
    zone = machine.yard.zone
    for row in _standing([machine.pk]).order_by("-record__done_at", "-pk"):
        key = _named(row.limit.name, row.place)
        named.setdefault(key, (row.limit.name, row.place))
        day = row.record.done_at.astimezone(zone).date()
        found.setdefault(key, []).append(ValueBefore(row.value, row.limit.unit, day))
    return [
        MeasuredQuantity(name, place, found[key][:FEW])
        for key, (name, place) in sorted(named.items())
    ]


def _standing(machines: Collection[int]) -> QuerySet[Measurement]:
    """Return what was measured on machines, but for what a later entry puts right."""
    rows = Measurement.objects.filter(record__machine__in=machines, record__void=False)
    return rows.exclude(record__in=corrected_records()).select_related("record", "limit")


def _named(name: str, place: str) -> tuple[str, str]:
    return name.strip().lower(), place.strip().lower()


def _turned(before: ValueBefore, limit: Limit) -> float | None:
    try:
        return in_unit(before.value, before.unit, limit.unit)
    except ValueError:
        return None


def last_measured(
    machines: Iterable[Machine], limits: Collection[Limit], today: date
) -> LastMeasured:
    """Return what was measured last of what these limits name; one query however many machines."""
    zones = {machine.pk: machine.yard.zone for machine in machines}
    if not (limits and zones):
        return LastMeasured(today)
    rows = _standing(list(zones)).filter(limit__name__in={limit.name for limit in limits})
    found: dict[tuple[int, str, str], list[ValueBefore]] = {}
    for row in rows.order_by("-record__done_at", "-pk"):
        machine = row.record.machine_id
        day = row.record.done_at.astimezone(zones[machine]).date()
        named = (machine, *_named(row.limit.name, row.place))
        found.setdefault(named, []).append(ValueBefore(row.value, row.limit.unit, day))
    return LastMeasured(today, found)
