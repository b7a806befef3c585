"""The change log as it is read: of one machine, and all that a person may see, narrowed down."""

import json
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

from django.db.models import Model, Q, QuerySet, TextField
from django.db.models.functions import Cast

from fleet.models import Interval, LoggedChange, Machine, MakeUp, Person
from fleet.queries.mine import machines_of, people_of, shops_of, yards_of

SHOWN = 30
"""Changes that the page of a machine shows; the rest is in the list of all."""


@dataclass(frozen=True)
class WantedChanges:
    """What the list is narrowed down to; empty: not by that.  first, last: days of a shop."""

    kind: str = ""
    by: Person | None = None
    machine: str = ""
    first: date | None = None
    last: date | None = None
    text: str = ""


def changes_on(machine: Machine) -> list[LoggedChange]:
    """Return what was changed of a machine and of what belongs to it, newest first; one query."""
    rows = LoggedChange.objects.filter(machine=machine)
    return list(rows.select_related("by")[:SHOWN])


def changes_of_thing(row: Model) -> list[LoggedChange]:
    """Return what was changed in a thing that is set up, newest first; at most two queries.

    Of a machine that is all that belongs to it, of a make-up its intervals too.
    """
    if isinstance(row, Machine):
        return changes_on(row)
    own = Q(kind=str(row._meta.verbose_name), subject_id=row.pk)
    if isinstance(row, MakeUp):
        rules = Interval.objects.filter(makeup=row).order_by().values("pk")
        own |= Q(kind=str(Interval._meta.verbose_name), subject_id__in=rules)
    return list(LoggedChange.objects.filter(own).select_related("by")[:SHOWN])


def changes_for(person: Person) -> QuerySet[LoggedChange]:
    """Return the changes that a person may see, newest first; who has no shop sees all.

    Of another shop's machines, and of that shop itself, its yards and people, nothing is seen;
    what is set up for all (services, intervals, make-ups, parts) everybody sees.
    """
    rows = LoggedChange.objects.select_related("by", "machine")
    if person.only_shop_id is None:
        return rows
    own = {"shop": shops_of(person), "yard": yards_of(person), "person": people_of(person)}
    seen = Q(machine__in=machines_of(person).order_by().values("pk"))
    seen |= Q(machine=None) & ~Q(kind__in=list(own))
    for kind, ours in own.items():
        seen |= Q(kind=kind, subject_id__in=ours.order_by().values("pk"))
    return rows.filter(seen)


EARLIEST, LATEST = date(1900, 1, 1), date(9000, 1, 1)
"""No change lies beyond these days, and at the ends of the calendar clocks run out of days."""


def narrowed(
    rows: QuerySet[LoggedChange], wanted: WantedChanges, zone: tzinfo
) -> QuerySet[LoggedChange]:
    """Return the changes that are wanted; days begin at midnight of the zone."""
    if wanted.kind:
        rows = rows.filter(kind=wanted.kind)
    if wanted.by:
        rows = rows.filter(by=wanted.by)
    if wanted.machine.strip():
        rows = rows.filter(machine__tag__iexact=wanted.machine.strip())
    if wanted.first:
        rows = rows.filter(at__gte=datetime.combine(_kept(wanted.first), time(), zone))
    if wanted.last:
        after = _kept(wanted.last) + timedelta(1)
        rows = rows.filter(at__lt=datetime.combine(after, time(), zone))
    return _with_text(rows, wanted.text.strip()) if wanted.text.strip() else rows


def _kept(day: date) -> date:
    """Return a day, or the nearest one to it that has a midnight in every zone."""
    return min(max(day, EARLIEST), LATEST)


def _with_text(rows: QuerySet[LoggedChange], text: str) -> QuerySet[LoggedChange]:
    """Look in what was changed, what was done, why, and in old and new values."""
    kept = json.dumps(text)[1:-1]  # SQLite keeps values as JSON wrote them, é as \\u00e9
    found = Q(told__icontains=text) | Q(told__icontains=kept)
    for field in ("subject", "act", "reason"):
        found |= Q(**{f"{field}__icontains": text})
    return rows.annotate(told=Cast("values", TextField())).filter(found)


def kinds_in(rows: QuerySet[LoggedChange]) -> list[str]:
    """Return the kinds of thing that were changed, by name; one query."""
    return list(rows.order_by("kind").values_list("kind", flat=True).distinct())


def people_in(rows: QuerySet[LoggedChange]) -> QuerySet[Person]:
    """Return who changed any of it, by name."""
    makers = rows.order_by().values("by")
    return Person.objects.filter(pk__in=makers).order_by("first_name", "username")
