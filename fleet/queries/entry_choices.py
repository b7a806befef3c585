"""What can be chosen when an entry of the service book is put right."""

from django.db.models import Q, QuerySet

from fleet.models import Fluid, Limit, Meter, Part, Person, Service, ServiceRecord
from fleet.procedures import needs_on_build, traits_of_machine
from fleet.queries.mine import machines_of
from fleet.queries.who_works import workers_at


def entries_of(person: Person) -> QuerySet[ServiceRecord]:
    """Return the entries of a person's machines, each with its machine and who wrote it."""
    rows = ServiceRecord.objects.select_related(
        "machine__yard__shop", "service", "done_by", "entered_by", "corrected_by__entered_by",
        "corrects", "done_text",
    )  # fmt: skip
    return rows.filter(machine__in=machines_of(person))


def services_by_name() -> QuerySet[Service]:
    """Return all services."""
    return Service.objects.order_by("name")


def parts_by_name() -> QuerySet[Part]:
    """Return all parts and fluids."""
    return Part.objects.order_by("name", "number")


def who_could_do(record: ServiceRecord) -> QuerySet[Person]:
    """Return who works in the machine's shop on that day, and who is named now."""
    shop = record.machine.yard.shop
    day = record.done_at.astimezone(shop.zone).date()
    there = workers_at(shop, day).values("pk")
    named = Q(pk__in=there) | Q(pk=record.done_by_id) | Q(shop=shop, is_active=True)
    return Person.objects.filter(named).order_by("first_name", "username")


def meters_at(record: ServiceRecord) -> list[Meter]:
    """Return the meters that an entry noted, and those that were on the machine then."""
    at = record.done_at
    on = Q(fitted_at__lte=at) & (Q(removed_at=None) | Q(removed_at__gt=at))
    noted = set(record.meters.values_list("meter", flat=True))
    rows = Meter.objects.filter(machine=record.machine_id).filter(on | Q(pk__in=noted))
    kinds = {}
    for meter in rows.order_by("kind", "fitted_at"):
        if meter.kind not in kinds or meter.pk in noted:
            kinds[meter.kind] = meter
    return list(kinds.values())


def fluids_taken(record: ServiceRecord, service: Service | None) -> dict[int, float]:
    """Return fluid -> millilitres that a service takes of it on the machine; four queries.

    Of a fluid that the service does not ask for, and at a repair, all that the make-up holds.
    """
    needs = needs_on_build(service, traits_of_machine(record.machine)) if service else []
    shares = {need.place: need.share for need in needs}
    asked: dict[int, float] = {}
    held: dict[int, float] = {}
    rows = Fluid.objects.filter(makeup=record.machine.makeup_id, part__isnull=False)
    for part, place, capacity in rows.values_list("part_id", "place", "capacity_ml"):
        if part is None:
            continue
        held[part] = held.get(part, 0.0) + capacity
        if place in shares:
            asked[part] = asked.get(part, 0.0) + capacity * shares[place]
    return held | asked


def limits_to_measure(record: ServiceRecord) -> list[Limit]:
    """Return what is measured at the entry's service on this make-up."""
    if record.service_id is None:
        return []
    own = Q(makeup=None) | Q(makeup=record.machine.makeup_id)
    return list(Limit.objects.filter(own, service=record.service_id).order_by("name"))
