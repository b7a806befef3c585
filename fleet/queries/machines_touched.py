"""Which machines' due points, blocks or plan hang on something that is set up."""

from collections.abc import Iterable

from fleet.models import (
    Interval,
    Machine,
    MachineClass,
    MakeUp,
    Part,
    Person,
    Service,
    Shop,
    Yard,
)


def of_shop(shop: Shop) -> Iterable[int]:
    """All machines of its yards."""
    return Machine.objects.filter(yard__shop=shop).values_list("pk", flat=True)


def of_yard(yard: Yard) -> Iterable[int]:
    """All machines of the yard."""
    return yard.machines.values_list("pk", flat=True)


def of_person(person: Person) -> Iterable[int]:
    """All machines of the shop: who works there moves its plan."""
    if person.shop_id is None:
        return ()
    return Machine.objects.filter(yard__shop=person.shop_id).values_list("pk", flat=True)


def of_class(machine_class: MachineClass) -> Iterable[int]:
    """All machines of the class."""
    return Machine.objects.filter(makeup__machine_class=machine_class).values_list("pk", flat=True)


def of_makeup(makeup: MakeUp) -> Iterable[int]:
    """All machines of the make-up."""
    return makeup.machines.values_list("pk", flat=True)


def of_machine(machine: Machine) -> Iterable[int]:
    """Itself."""
    return [machine.pk] if machine.pk else []


def of_service(service: Service) -> Iterable[int]:
    """Machines of every make-up that has an interval of it, and those with one of their own."""
    of_makeup = Machine.objects.filter(makeup__intervals__service=service)
    own = Machine.objects.filter(intervals__service=service)
    return {*of_makeup.values_list("pk", flat=True), *own.values_list("pk", flat=True)}


def of_interval(interval: Interval) -> Iterable[int]:
    """Its machine, or all machines of its make-up."""
    if interval.machine_id:
        return [interval.machine_id]
    return Machine.objects.filter(makeup=interval.makeup_id).values_list("pk", flat=True)


def of_part(part: Part) -> Iterable[int]:
    """Machines of the make-ups that it fits."""
    fits = Machine.objects.filter(makeup__fitting_parts__part=part)
    holds = Machine.objects.filter(makeup__fluids__part=part)
    return {*fits.values_list("pk", flat=True), *holds.values_list("pk", flat=True)}
