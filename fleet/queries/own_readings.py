"""Readings that a person may look at and put right."""

from django.db.models import QuerySet

from fleet.models import Meter, Person, Reading
from fleet.queries.mine import machines_of


def readings_of(person: Person) -> QuerySet[Reading]:
    """Return the readings of a person's machines, each with its machine and who took it."""
    rows = Reading.objects.select_related("meter__machine__yard__shop", "read_by", "corrected_by")
    return rows.filter(meter__machine__in=machines_of(person))


def meters_to_see(person: Person) -> QuerySet[Meter]:
    """Return the meters of a person's machines, those of an undone swap too."""
    rows = Meter.every.select_related("machine__yard__shop", "noted_by", "struck_by")
    return rows.filter(machine__in=machines_of(person))


def readings_on(meter: Meter, most: int) -> QuerySet[Reading]:
    """Return the latest readings of a meter, corrected and struck ones too."""
    rows = Reading.objects.filter(meter=meter, void=False)
    return rows.select_related("read_by", "corrected_by").order_by("-read_at", "-pk")[:most]


def meters_of_kind(meter: Meter) -> QuerySet[Meter]:
    """Return all meters of one kind that a machine has had, undone swaps too, newest first."""
    rows = Meter.every.filter(machine=meter.machine_id, kind=meter.kind)
    return rows.select_related("noted_by", "struck_by").order_by("-fitted_at", "-pk")
