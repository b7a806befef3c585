"""Customers as a desk looks at them: all by name, one with their bookings, those of a name."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, Max, OuterRef, QuerySet

from fleet.folded_names import name_key
from fleet.models import Booking, ClassLine, Customer, Hire, Person

LONGEST_NUMBER = 10
"""Digits from which on a number is of no row."""
KNOWN = 8
"""Names offered while one is typed."""


def customers_like(text: str) -> QuerySet[Customer]:
    """Return the customers that stand, by name, narrowed to those whose name has the text in it."""
    rows = Customer.objects.filter(merged_into=None)
    return rows.filter(key__contains=name_key(text)) if text.strip() else rows


def every_customer() -> QuerySet[Customer]:
    """Return all entries, those merged into another too, since old addresses lead on."""
    return Customer.objects.all()


def customer_numbered(number: str) -> Customer | None:
    """Return the customer of a number as it stands in an address; none where there is none."""
    if not (number.isascii() and number.isdigit() and len(number) < LONGEST_NUMBER):
        return None
    pk = int(number)
    return Customer.objects.filter(pk=pk, merged_into=None).first()


def with_hires(rows: Sequence[Customer]) -> list[tuple[Customer, int, date | None]]:
    """Return each with how many machines they were promised, and the last day of all; one query."""
    counted = (
        Booking.objects.filter(hire__customer__in=[row.pk for row in rows], cancelled_at=None)
        .order_by()
        .values_list("hire__customer")
        .annotate(Count("pk"), Max("last_day"))
    )
    known = {pk: (number, last) for pk, number, last in counted}
    return [(row, *known.get(row.pk, (0, None))) for row in rows]


def names_known(text: str) -> list[Customer]:
    """Return a few customers whose name begins or goes on like this, the nearest first."""
    key = name_key(text)
    if not key:
        return []
    rows = list(Customer.objects.filter(merged_into=None, key__startswith=key)[:KNOWN])
    if len(rows) < KNOWN:
        inside = Customer.objects.filter(merged_into=None, key__contains=key)
        rows += list(inside.exclude(key__startswith=key)[: KNOWN - len(rows)])
    return rows


@dataclass(frozen=True)
class LastSeen:
    """A customer of a name, and when they were here last."""

    customer: Customer
    day: date | None


def known_as(name: str) -> LastSeen | None:
    """Return who is meant by a name that is known, and the first day of their latest booking."""
    rows = Customer.objects.filter(key=name_key(name)).select_related("merged_into")
    found = min(rows, key=lambda row: (row.merged_into_id is not None, row.twin), default=None)
    if found is None:
        return None
    customer = found.merged_into or found
    latest = Booking.objects.filter(hire__customer=customer, cancelled_at=None).aggregate(
        Max("first_day")
    )
    return LastSeen(customer, latest["first_day__max"])


def coming_of(person: Person, customer: Customer, today: date) -> QuerySet[Booking]:
    """Return their bookings that are not over by their days, soonest first."""
    return bookings_by(person, customer).filter(last_day__gte=today).order_by("first_day", "pk")


def past_of(person: Person, customer: Customer, today: date) -> QuerySet[Booking]:
    """Return their bookings that are over by their days, the latest first."""
    return bookings_by(person, customer).filter(last_day__lt=today).order_by("-first_day", "-pk")


def bookings_by(person: Person, customer: Customer) -> QuerySet[Booking]:
    """Return the bookings of a customer that a person may look at."""
    rows = Booking.objects.filter(hire__customer=customer).select_related(
        "machine__makeup__machine_class", "machine__yard", "hire__customer"
    )
    return rows.filter(machine__yard__shop=person.only_shop_id) if person.only_shop_id else rows


def hire_numbered(person: Person, number: str) -> Hire | None:
    """Return the hire of a number as it stands in an address, if the person may look at it."""
    if not (number.isascii() and number.isdigit() and len(number) < LONGEST_NUMBER):
        return None
    return hires_of(person).filter(pk=int(number)).first()


def hires_of(person: Person) -> QuerySet[Hire]:
    """Return the hires of which a person may look at a machine at least, or a class."""
    rows = Hire.objects.select_related("customer", "made_by")
    if not person.only_shop_id:
        return rows
    booked = Booking.objects.filter(hire=OuterRef("pk"), machine__yard__shop=person.only_shop_id)
    classes = ClassLine.objects.filter(hire=OuterRef("pk"), yard__shop=person.only_shop_id)
    return rows.filter(Exists(booked) | Exists(classes))
