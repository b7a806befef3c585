"""The services of a make-up and how often each recurs, in the words and units of the site."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from fleet.interval_words import ANCHOR_WORDS, say_interval
from fleet.models import Anchor, Covering, Interval, MakeUp, Person, Service, Units
from fleet.queries.mine import home_shop

MOST_DIGITS = 18
"""Digits of a key that a database can hold."""


@dataclass(frozen=True)
class SaidInterval:
    """An interval with its words; covers: names of what counts as done with it."""

    row: Interval
    words: str
    counted: str
    covers: tuple[str, ...] = ()


def site_units(person: Person) -> str:
    """Return the units of a person's shop, else those of the first shop."""
    shop = home_shop(person)
    return shop.units if shop else Units.US


def services_by_name() -> QuerySet[Service]:
    """Return all services to choose from."""
    return Service.objects.order_by("name")


def others_to_copy(makeup: MakeUp) -> QuerySet[MakeUp]:
    """Return the other make-ups that have an interval to be copied."""
    return makeups().filter(intervals__isnull=False).exclude(pk=makeup.pk).distinct()


def makeup_asked(pk: str) -> MakeUp | None:
    """Return the make-up that was chosen in a form."""
    return (
        makeups().filter(pk=int(pk)).first() if pk.isdecimal() and len(pk) < MOST_DIGITS else None
    )


def makeups() -> QuerySet[MakeUp]:
    """Return the make-ups with their class, by class and name."""
    return MakeUp.objects.select_related("machine_class")


def makeups_counted() -> QuerySet[MakeUp]:
    """Return the make-ups with how many machines and intervals each has."""
    working = Count("machines", filter=Q(machines__retired_on=None), distinct=True)
    return makeups().annotate(working=working, rules=Count("intervals", distinct=True))


def meter_kinds(makeup: MakeUp) -> list[str]:
    """Return the kinds of meter that the machines of a make-up carry."""
    return list(makeup.meters.order_by("kind").values_list("kind", flat=True))


def intervals_of(makeup: MakeUp) -> QuerySet[Interval]:
    """Return the intervals of a make-up, by the names of their services."""
    rows = Interval.objects.filter(makeup=makeup).select_related("service", "makeup__machine_class")
    return rows.order_by("service__name")


def interval_rows() -> QuerySet[Interval]:
    """Return the intervals of all make-ups, and those of single machines."""
    return Interval.objects.select_related(
        "service", "makeup__machine_class", "machine__makeup__machine_class"
    )


def own_intervals(makeup: MakeUp) -> QuerySet[Interval]:
    """Return the intervals that single machines of a make-up have for themselves, by tag."""
    rows = Interval.objects.filter(machine__makeup=makeup, machine__retired_on=None)
    return rows.select_related("service", "machine").order_by("machine__tag", "service__name")


def said_intervals(makeup: MakeUp, units: str) -> list[SaidInterval]:
    """Return the intervals of a make-up in words; two queries."""
    covers: dict[int, list[Service]] = {}
    for pair in _coverings(makeup):
        covers.setdefault(pair.service_id, []).append(pair.covered)
    return [
        said_interval(row, units, covers.get(row.service_id, ())) for row in intervals_of(makeup)
    ]


def said_interval(row: Interval, units: str, covers: Iterable[Service] = ()) -> SaidInterval:
    """Return an interval, saved or not, in words, with what it covers."""
    words, counted = say_interval(row, units), ANCHOR_WORDS[Anchor(row.anchor)]
    return SaidInterval(row, words, counted, tuple(str(one) for one in covers))


def may_be_covered(makeup: MakeUp, *, beside: int | None) -> QuerySet[Service]:
    """Return the services that can count as done with another, beside, on a make-up, by name.

    They recur on it or on a machine of it, or are said to be covered there already.
    """
    recurs = Q(intervals__makeup=makeup) | Q(intervals__machine__makeup=makeup)
    return (
        services_by_name()
        .filter(recurs | Q(covered_in__makeup=makeup))
        .exclude(pk=beside or 0)
        .distinct()
    )


def covered_directly(row: Interval) -> list[Service]:
    """Return what is said to count as done with an interval's service on its make-up."""
    pairs = _coverings(row.makeup).filter(service=row.service_id) if row.makeup else ()
    return [pair.covered for pair in pairs]


def _coverings(makeup: MakeUp) -> QuerySet[Covering]:
    rows = Covering.objects.filter(makeup=makeup).select_related("covered")
    return rows.order_by("covered__name")
