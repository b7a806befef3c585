"""The lists of Set-up: every thing of a kind with what its line shows."""

from django.db.models import QuerySet

from fleet.models import Machine, MachineClass, MakeUp, Part, Person, Service, Shop, Yard
from fleet.queries.makeup_intervals import makeups_counted


def shops() -> QuerySet[Shop]:
    """Return the shops by name."""
    return Shop.objects.order_by("name")


def yards() -> QuerySet[Yard]:
    """Return the yards by name."""
    return Yard.objects.select_related("shop").order_by("name")


def people() -> QuerySet[Person]:
    """Return the people, those who work here first."""
    return Person.objects.select_related("shop").order_by("-is_active", "username")


def classes() -> QuerySet[MachineClass]:
    """Return the classes by name."""
    return MachineClass.objects.order_by("name")


def makeups() -> QuerySet[MakeUp]:
    """Return the make-ups with how many machines and services each has."""
    return makeups_counted().order_by("maker", "model", "pk")


def machines() -> QuerySet[Machine]:
    """Return the working machines by tag."""
    return (
        Machine.objects.filter(retired_on=None)
        .select_related("makeup__machine_class", "yard__shop")
        .order_by("tag")
    )


def services() -> QuerySet[Service]:
    """Return the services by name."""
    return Service.objects.select_related("skill").order_by("name")


def parts() -> QuerySet[Part]:
    """Return the parts by number."""
    return Part.objects.order_by("number")
