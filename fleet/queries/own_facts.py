"""Findings, stock movements and changes that a person may look at."""

from django.db.models import Model, Q, QuerySet, Sum

from fleet.models import (
    Finding,
    FindingPhoto,
    HandOverPhoto,
    LoggedChange,
    Machine,
    Part,
    Person,
    Shop,
    StockMovement,
)
from fleet.queries.mine import machines_of


def findings_of(person: Person) -> QuerySet[Finding]:
    """Return the findings of a person's machines."""
    rows = Finding.objects.select_related(
        "machine__yard__shop", "seen_by", "settled_by", "skill", "calls_for", "seen_during__service"
    )
    return rows.filter(machine__in=machines_of(person))


def photos_of(finding: Finding) -> QuerySet[FindingPhoto]:
    """Return the photos of a finding, the first first, struck ones too."""
    return FindingPhoto.objects.filter(finding=finding).select_related("struck_by")


def photos_at_hand_over(finding: Finding) -> QuerySet[HandOverPhoto]:
    """Return the photos of the hand-over at which it was seen."""
    rows = HandOverPhoto.objects.filter(struck_at=None).exclude(hand_over=None)
    return rows.filter(hand_over=finding.hand_over_id)


def changes_to(row: Model) -> QuerySet[LoggedChange]:
    """Return what was changed in one row, the latest first."""
    kind = str(row._meta.verbose_name)
    return LoggedChange.objects.filter(kind=kind, subject_id=row.pk).select_related("by")


def movements_of(part: Part, shop: Shop, most: int) -> QuerySet[StockMovement]:
    """Return the latest movements of a part on a shop's shelf."""
    rows = StockMovement.objects.filter(part=part, shop=shop).select_related(
        "by", "record__machine", "corrected_by", "corrects", "part", "shop"
    )
    return rows.order_by("-at", "-pk")[:most]


def movements_in(shops: QuerySet[Shop]) -> QuerySet[StockMovement]:
    """Return the movements of some shops' shelves."""
    return StockMovement.objects.filter(shop__in=shops).select_related("part", "shop")


def shelf_of(shop: Shop) -> list[tuple[Part, float | None]]:
    """Return every part with what lies on a shop's shelf by the book; None: never counted."""
    rows = StockMovement.objects.filter(shop=shop).order_by().values_list("part")
    on_hand = dict(rows.annotate(Sum("quantity")))
    return [(part, on_hand.get(part.pk)) for part in Part.objects.order_by("name", "number")]


def machines_alike(person: Person, machine: Machine) -> QuerySet[Machine]:
    """Return a machine and the others of its class that may take its bookings, by tag."""
    alike = Q(makeup__machine_class=machine.makeup.machine_class_id, retired_on=None)
    rows = machines_of(person).select_related("makeup__machine_class", "yard__shop")
    return rows.filter(alike | Q(pk=machine.pk)).order_by("tag")


def that_may_take(machine: Machine, among: QuerySet[Machine]) -> QuerySet[Machine]:
    """Return the machines that may stand in for one.

    Those of its class in its shop, and of the classes that the shop named to stand in for it.
    """
    kind = machine.makeup.machine_class
    # a query within the query, not a join: a class may stand in for several
    instead = kind.substitutes.values("instead")
    rows = among.filter(
        Q(makeup__machine_class=kind) | Q(makeup__machine_class__in=instead),
        yard__shop=machine.yard.shop_id, retired_on=None,
    )  # fmt: skip
    return rows.exclude(pk=machine.pk)


def one_that_may_take(machine: Machine, among: QuerySet[Machine], tag: str) -> Machine | None:
    """Return the one of them with a tag."""
    return that_may_take(machine, among).filter(tag=tag).first()
