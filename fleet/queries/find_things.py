"""One box for all: customers, bookings and machines by name, telephone number, tag, site, number.

A booking's number is that of all that one customer booked together, as pages and papers say it
("Booking 12"), or its own, which its address, its calendar and other programs have.
Customers, sites and machines are looked through by keys without case, accents and blanks; the
bookings are fetched by index through what was found.  The number of queries is fixed.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Case, IntegerField, Q, QuerySet, Value, When

from fleet.folded_names import folded, name_key, phone_key
from fleet.models import Booking, ClassLine, Customer, FormerTag, Hire, Machine, Person
from fleet.models.hires import NO_MACHINE
from fleet.queries.mine import machines_of

MOST = 20
"""Customers and machines shown, and bookings of each half: those to come and those past."""
MOST_HIRES = 500
"""Hires whose bookings are looked at, the newest."""
SHORTEST_NUMBER = 4
"""Digits from which a number is taken for a part of a telephone number."""
LONGEST = 120
LARGEST = 2**31 - 1
"""Of a booking's number."""
NOTHING = Q(pk__in=[])
NUMBERED = re.compile(
    r"(?:.*/(?P<place>hires|bookings)/|(?:booking|hire)?\s*(?:no\.?|number|#)?\s*)"
    r"(?P<number>[0-9]{1,10})(?:/.*)?",
    re.IGNORECASE,
)
"""A number as it is written: "12", "#12", "booking 12", "no. 12", a booking's whole address."""


@dataclass(frozen=True)
class FoundThings:
    """What was found of something sought; coming: bookings not over by their days, soonest first.

    number: of a booking, if one is sought; it comes before all others.  more: of what there is more
    than is shown.
    """

    sought: str
    customers: Sequence[Customer] = ()
    machines: Sequence[Machine] = ()
    coming: Sequence[Booking] = ()
    past: Sequence[Booking] = ()
    open_lines: Sequence[ClassLine] = ()
    more: frozenset[str] = field(default_factory=frozenset)
    number: int | None = None

    @property
    def bookings(self) -> int:
        """How many bookings are shown, those of a class alone too."""
        return len(self.coming) + len(self.past) + len(self.open_lines)

    @property
    def any(self) -> bool:
        """Whether anything was found."""
        return bool(self.customers or self.machines or self.bookings)


def find_things(person: Person, text: str, today: date) -> FoundThings:
    """Find customers, bookings and machines; seven queries, however many there are."""
    text = " ".join(text.replace("\x00", "").split())[:LONGEST]
    if not text:
        return FoundThings("")
    key, more = name_key(text), set[str]()
    customers = _first(_customers(text, key), "customers", more)
    machines = _first(_machines(person, text, key), "machines", more)
    number = SoughtNumber.of(text)
    hires = list(_hires(number, key, customers).values_list("pk", flat=True)[:MOST_HIRES])
    promised = Q(hire__in=hires) | number.booking
    if machines and _is_tag(key, machines):
        promised |= Q(machine__in=[row.pk for row in machines])
    rows = _bookings(person).filter(promised)
    coming = rows.filter(last_day__gte=today).order_by(*number.first(), "first_day", "pk")
    past = rows.filter(last_day__lt=today).order_by(*number.first(), "-first_day", "-pk")
    open_lines = ClassLine.objects.filter(NO_MACHINE, hire__in=hires, cancelled_at=None)
    if person.only_shop_id:
        open_lines = open_lines.filter(yard__shop=person.only_shop_id)
    return FoundThings(
        text,
        customers,
        machines,
        _first(coming, "coming", more),
        _first(past, "past", more),
        list(open_lines.select_related("hire__customer", "machine_class")[:MOST]),
        frozenset(more),
        number.number,
    )


@dataclass(frozen=True)
class SoughtNumber:
    """The number of a booking that a text says; of: "hires" or "bookings", "" for either."""

    number: int | None = None
    place: str = ""

    @classmethod
    def of(cls, text: str) -> "SoughtNumber":
        """Read a text; without a number that a booking can have there is none."""
        match = NUMBERED.fullmatch(text)
        if match is None or int(match["number"]) > LARGEST:
            return cls()
        return cls(int(match["number"]), (match["place"] or "").lower())

    @property
    def hire(self) -> Q:
        """What was booked together under it."""
        wanted = self.number is not None and self.place != "bookings"
        return Q(pk=self.number) if wanted else NOTHING

    @property
    def booking(self) -> Q:
        """The one booking that has it as its own."""
        wanted = self.number is not None and self.place != "hires"
        return Q(pk=self.number) if wanted else NOTHING

    def first(self) -> list[Case]:
        """Return the order in which bookings with the number come before all others."""
        if self.number is None:
            return []
        under = Q(hire=self.number) if self.place != "bookings" else NOTHING
        near = Case(
            When(under, then=Value(0)), When(self.booking, then=Value(1)), default=Value(2),
            output_field=IntegerField(),
        )  # fmt: skip
        return [near]


def _first(rows: QuerySet, what: str, more: set[str]) -> list:
    found = list(rows[: MOST + 1])
    if len(found) > MOST:
        more.add(what)
    return found[:MOST]


def _customers(text: str, key: str) -> QuerySet[Customer]:
    asked = Q(key__contains=key)
    number = phone_key(text)
    digits = sum(sign.isdigit() for sign in text)
    if number and digits >= SHORTEST_NUMBER and digits * 2 >= len(text):
        asked |= Q(phone_key__contains=number)
    if "@" in text:
        asked |= Q(mail__icontains=text)
    near = Case(
        When(key=key, then=Value(0)),
        When(key__startswith=key, then=Value(1)),
        default=Value(2),
        output_field=IntegerField(),
    )
    # an old name of somebody merged leads to the entry that stays
    stays = Q(merged_from__key__contains=key)
    standing = Customer.objects.filter(merged_into=None)
    found = standing.filter(asked | Q(pk__in=standing.filter(stays).values("pk")))
    return found.order_by(near, "key", "twin")


def _machines(person: Person, text: str, key: str) -> QuerySet[Machine]:
    """Return machines by tag, former tag or serial, as written or with other marks between."""
    parts = folded(text).split()
    as_tag = Q(tag__icontains=text)
    if len(parts) > 1 or key != text.lower():
        spaced = Q()
        for part in parts:
            spaced &= Q(tag__icontains=part)
        as_tag |= spaced if parts else Q(pk=None)
    former = FormerTag.objects.filter(tag__iexact=text).values("machine")
    rows = machines_of(person).filter(as_tag | Q(serial__icontains=text) | Q(pk__in=former))
    return rows.filter(merged_into=None).order_by("retired_on", "tag")


def _is_tag(key: str, machines: Sequence[Machine]) -> bool:
    """Whether a tag itself was meant: then the bookings of its machine are wanted too."""
    return len(machines) == 1 or any(name_key(row.tag) == key for row in machines)


def _hires(number: SoughtNumber, key: str, customers: Sequence[Customer]) -> QuerySet[Hire]:
    asked = Q(customer__in=[row.pk for row in customers]) | Q(sought__contains=key) | number.hire
    return Hire.objects.filter(asked).order_by("-pk")


def _bookings(person: Person) -> QuerySet[Booking]:
    rows = Booking.objects.select_related(
        "machine__makeup__machine_class", "machine__yard", "hire__customer"
    )
    return rows.filter(machine__yard__shop=person.only_shop_id) if person.only_shop_id else rows
