"""The meters of a yard, in the order in which a person walks past them: by tag."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.paginator import Page, Paginator
from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Meter, Person, Yard
from fleet.queries.dials import Dial
from fleet.queries.mine import machines_of, shops_of
from fleet.queries.readings import last_readings, standing

A_PAGE = 60
"""Meters on one page: a sweep's worth on a phone."""
UNREAD_DAYS = 14
"""A meter that was not read for so many days is worth a walk (common practice)."""


@dataclass(frozen=True)
class Round:
    """One page of a yard's meters, and how many of all were not read lately."""

    yard: Yard
    page: Page[Meter]
    unread: int
    dials: list[Dial]

    @property
    def count(self) -> int:
        """How many meters the yard has in all."""
        return self.page.paginator.count


def yards_of(person: Person) -> QuerySet[Yard]:
    """Return the yards whose meters a person may read."""
    return Yard.objects.filter(shop__in=shops_of(person)).select_related("shop").order_by("name")


def meters_of(person: Person) -> QuerySet[Meter]:
    """Return the meters in use that a person may read."""
    return (
        Meter.objects.filter(removed_at=None, machine__in=machines_of(person))
        .filter(machine__retired_on=None)
        .select_related("machine__yard", "machine__makeup__machine_class", "machine__now")
        .order_by("machine__tag", "kind")
    )


def walk_round(person: Person, yard: Yard, page: str, now: datetime) -> Round:
    """Return one page of the yard's meters; five queries whatever the fleet."""
    meters = meters_of(person).filter(machine__yard=yard)
    since = now - timedelta(days=UNREAD_DAYS)
    lately = standing().filter(meter=OuterRef("pk"), read_at__gte=since)
    chosen = Paginator(meters, A_PAGE).get_page(page)
    return Round(yard, chosen, meters.filter(~Exists(lately)).count(), dials_for(list(chosen)))


def dials_for(meters: list[Meter]) -> list[Dial]:
    """Return meters with what each showed last; one query."""
    last = last_readings({meter.machine_id for meter in meters})
    return [Dial(meter, meter.machine.yard, last.get(meter.pk)) for meter in meters]
