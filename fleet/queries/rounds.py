"""The meters of a yard: those most worth reading first, by tag, or nearest first.

Where a machine stands is known by its yard alone: so the nearest are those of the person's own
yard, then those of the yards of its shop by the time there and back, and in each those that were
read longest ago.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.paginator import Page, Paginator
from django.db.models import (
    Case,
    Exists,
    F,
    FloatField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)

from fleet.models import Machine, Meter, Person, Yard
from fleet.queries.bare_tag import bare, bare_tag
from fleet.queries.dials import Dial
from fleet.queries.mine import machines_of
from fleet.queries.standing_readings import last_readings, standing

A_PAGE = 60
"""Meters on one page: a sweep's worth on a phone."""
UNREAD_DAYS = 14
"""A meter that was not read for so many days is worth a walk (common practice)."""

UNKNOWN, FAR = Value(1e6), Value(1e7)
"""Hours that stand for a way that nobody has said, and for a yard of another shop."""


@dataclass(frozen=True)
class Round:
    """One page of a yard's meters; how many of all were not read lately, how many stand first."""

    yard: Yard | None
    page: Page[Meter]
    unread: int
    wanted: int
    dials: list[Dial]

    @property
    def count(self) -> int:
        """How many meters the yard has in all."""
        return self.page.paginator.count


def meters_of(person: Person) -> QuerySet[Meter]:
    """Return the meters in use that a person may read."""
    return (
        Meter.objects.filter(removed_at=None, machine__in=machines_of(person))
        .filter(machine__retired_on=None)
        .select_related("machine__yard", "machine__makeup__machine_class", "machine__now")
        .order_by("machine__tag", "kind")
    )


@dataclass(frozen=True)
class Way:
    """How a round goes: which page, by tag or not, and which meters a form that came back held.

    typed: keys of meters; what was typed is answered even where the order has changed since.
    near: the person's own yard first, then by the way.  sought: a part of a tag, a serial, a class
    or a model.
    """

    page: str = ""
    by_tag: bool = False
    typed: Sequence[int] = ()
    near: bool = False
    sought: str = ""


def walk_round(person: Person, yard: Yard | None, way: Way, now: datetime) -> Round:
    """Return one page of the yard's meters; five queries whatever the fleet.

    yard None: those of all of the person's yards.
    """
    rows = meters_of(person).filter(machine__yard=yard) if yard else meters_of(person)
    meters = _by_worth(_sought(rows, way.sought))
    since = now - timedelta(days=UNREAD_DAYS)
    lately = standing().filter(meter=OuterRef("pk"), read_at__gte=since)
    ordered = meters
    if way.by_tag:
        ordered = meters.order_by("machine__tag", "kind")
    elif way.near:
        ordered = _nearest(meters, person)
    chosen = Paginator(ordered, A_PAGE).get_page(way.page)
    return Round(
        yard=yard,
        page=chosen,
        unread=meters.filter(~Exists(lately)).count(),
        wanted=meters.filter(machine__now__reading_kind=F("kind")).count(),
        dials=dials_for(_held(meters, way.typed) if way.typed else list(chosen)),
    )


def _by_worth(meters: QuerySet[Meter]) -> QuerySet[Meter]:
    """Put the meters first whose reading helps most: what the nightly run says of the machine.

    worth: days by which a reading narrows a forecast, -1 where it helps too little.
    """
    said = When(
        machine__now__reading_kind=F("kind"), machine__now__isnull=False,
        then=F("machine__now__reading_gain"),
    )  # fmt: skip
    worth = Case(said, default=Value(-1.0), output_field=FloatField())
    return meters.annotate(worth=worth).order_by("-worth", "machine__tag", "kind")


def _sought(meters: QuerySet[Meter], text: str) -> QuerySet[Meter]:
    """Narrow down to the machines in which every word that is looked for stands."""
    meters = meters.annotate(bare=bare_tag("machine__tag"))
    for word in text.split():
        meters = meters.filter(
            Q(machine__tag__icontains=word)
            | Q(bare__contains=bare(word) or word)
            | Q(machine__serial__icontains=word)
            | Q(machine__makeup__machine_class__name__icontains=word)
            | Q(machine__makeup__model__icontains=word)
        )
    return meters


def _nearest(meters: QuerySet[Meter], person: Person) -> QuerySet[Meter]:
    """Put one's own yard first, then the nearest, in each what was not read for longest."""
    last = standing().filter(meter=OuterRef("pk")).order_by("-read_at").values("read_at")[:1]
    rows = meters.annotate(away=_away("machine__yard", person), last_read=Subquery(last))
    return rows.order_by(
        "away", "machine__yard__name", F("last_read").asc(nulls_first=True), "machine__tag", "kind"
    )


def _away(yard: str, person: Person) -> Case:
    """Return how far a yard lies from a person, in hours there and back; yard: its field.

    Behind those whose way is known come those of the same shop that are driven to and whose way
    nobody has said, and behind these the yards of other shops.
    """
    shop = person.shop_id
    elsewhere = [When(~Q(**{f"{yard}__shop": shop}), then=FAR)] if shop else []
    return Case(
        When(**{yard: person.home_yard_id}, then=Value(-1.0)),
        *elsewhere,
        When(**{f"{yard}__remote": True, f"{yard}__travel_hours": 0}, then=UNKNOWN),
        default=F(f"{yard}__travel_hours"),
        output_field=FloatField(),
    )


def machines_on_round(person: Person) -> QuerySet[Machine]:
    """Return the machines that a person may read, those without a meter too, the nearest first."""
    of_it = standing().filter(meter__machine=OuterRef("pk"), meter__removed_at=None)
    last = of_it.order_by("-read_at").values("read_at")[:1]
    rows = machines_of(person).filter(retired_on=None)
    rows = rows.annotate(away=_away("yard", person), last_read=Subquery(last))
    return rows.order_by("away", "yard__name", F("last_read").asc(nulls_first=True), "tag")


def _held(meters: QuerySet[Meter], typed: Sequence[int]) -> list[Meter]:
    """Return the meters that a form held, in its order."""
    found = {meter.pk: meter for meter in meters.filter(pk__in=typed)}
    return [found[key] for key in typed if key in found]


def dials_for(meters: list[Meter]) -> list[Dial]:
    """Return meters with what each showed last; one query."""
    last = last_readings({meter.machine_id for meter in meters})
    return [Dial(meter, meter.machine.yard, last.get(meter.pk)) for meter in meters]


def dials_of_machines(person: Person, machine_ids: Collection[int]) -> list[Dial]:
    """Return the meters in use of some machines that a person may read; two queries."""
    return dials_for(list(meters_of(person).filter(machine__in=machine_ids)))
