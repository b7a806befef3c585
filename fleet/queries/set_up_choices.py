"""What the pages of Set-up ask of what is there: hours, names that are taken, meters, shelves."""

from django.db.models import QuerySet, Sum
from django.utils.text import slugify

from fleet.models import (
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Part,
    Person,
    Service,
    Shop,
    ShopHours,
    StockMovement,
)

LONGEST_CODE = 50


def only_shop() -> Shop | None:
    """Return the shop where there is one alone: the usual case."""
    shops = list(Shop.objects.all()[:2])
    return shops[0] if len(shops) == 1 else None


def hours_on_the_door(shop: Shop) -> dict[int, ShopHours]:
    """Return the opening hours of a shop by weekday."""
    return {row.weekday: row for row in shop.hours.all()} if shop.pk else {}


def hours_of_week(person: Person) -> dict[int, float]:
    """Return the hours that a person works, by weekday."""
    if person.pk is None:
        return {}
    return dict(person.working_hours.values_list("weekday", "hours"))


def signs_in_already(username: str, but: Person) -> bool:
    """Whether somebody else signs in by that name, in capitals or not."""
    return Person.objects.filter(username__iexact=username).exclude(pk=but.pk).exists()


def other_managers(person: Person) -> bool:
    """Whether somebody else may manage the fleet."""
    others = Person.objects.filter(is_active=True).exclude(pk=person.pk)
    return any(one.manages for one in others.only("role", "is_superuser"))


def class_called(name: str) -> MachineClass:
    """Return the class of that name; a new one, not saved, where there is none."""
    return MachineClass.objects.filter(name__iexact=name).first() or MachineClass(name=name)


def kinds_carried(makeup: MakeUp) -> set[str]:
    """Return the kinds of meter that a make-up's machines carry."""
    return set(makeup.meters.values_list("kind", flat=True))


def kinds_to_ask(machine: Machine) -> set[str]:
    """Return the kinds of meter that a machine lacks; of a new one, those of any make-up."""
    if machine.pk is None:
        return set(MakeUpMeter.objects.values_list("kind", flat=True))
    fitted = machine.meters.values_list("kind", flat=True)
    return kinds_carried(machine.makeup) - set(fitted)


def other_services(service: Service) -> QuerySet[Service]:
    """Return the services that one can stand beside."""
    return Service.objects.exclude(pk=service.pk)


def free_code(name: str) -> str:
    """Return a code made of a service's name, which no service has yet."""
    code = slugify(name)[: LONGEST_CODE - 4] or "service"
    taken = set(Service.objects.filter(code__startswith=code).values_list("code", flat=True))
    numbered = (f"{code}-{number}" for number in range(2, 10_000))
    return next(one for one in (code, *numbered) if one not in taken)


def shelves(part: Part) -> list[tuple[Shop, float]]:
    """Return the shops with what their shelves hold of a part, pieces or mL."""
    shops = Shop.objects.order_by("name")
    if part.pk is None:
        return [(shop, 0.0) for shop in shops]
    rows = StockMovement.objects.filter(part=part).order_by().values("shop")
    booked = {row["shop"]: row["total"] for row in rows.annotate(total=Sum("quantity"))}
    return [(shop, booked.get(shop.pk, 0.0)) for shop in shops]
