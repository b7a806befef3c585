"""Machines as lists and pages show them: each with its state and what comes next, narrowed down."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from fleet.models import Booking, HandOver, Machine, MachineClass, MakeUp, Person, Service, Yard
from fleet.queries.bare_tag import bare, bare_tag
from fleet.queries.mine import machines_of
from fleet.queries.safety_findings import asks_for_safety
from scheduling.models import DuePoint
from scheduling.queries.fleet_state import gravity, in_state, working

RETIRED = "retired"
"""Stands beside the states: machines that are no longer worked."""
OF_A_MACHINE = ("now__due_point__service", "yard__shop", "makeup__machine_class")
"""What is shown with a machine that has a page of its own."""


@dataclass(frozen=True)
class Narrowing:
    """Which machines are wanted; what is left out does not narrow.

    text: words of tag, serial or model; state: a state of working machines, or RETIRED.
    service: one that falls due on the machine.
    """

    machine_class: MachineClass | None = None
    yard: Yard | None = None
    text: str = ""
    state: str = ""
    service: Service | None = None


def machines_with_state(person: Person) -> QuerySet[Machine]:
    """Return a person's machines, retired ones too, with their state and next service."""
    return machines_of(person).select_related(*OF_A_MACHINE)


def machines_on_lines(person: Person) -> QuerySet[Machine]:
    """Return a person's machines with their state alone, for who shows hundreds of them.

    What many share (make-up, class, yard, shop) is loaded once, and not beside each.
    """
    rows = machines_of(person).select_related(None).select_related("now")
    return rows.prefetch_related(
        Prefetch("makeup", MakeUp.objects.select_related("machine_class")),
        Prefetch("yard", Yard.objects.select_related("shop")),
    )


def machine_at_hand(person: Person, tag: str) -> Any:
    """Return one of those that are still worked by its tag, in capitals or not; None for none.

    asks stands beside it: whether findings for safety are open that it goes out with.
    """
    rows = machines_with_state(person).annotate(asks=asks_for_safety("pk"))
    return rows.filter(tag__iexact=tag, retired_on=None).first()


def machine_with_state(person: Person, tag: str) -> Machine | None:
    """Return one of them by its tag."""
    return machines_with_state(person).filter(tag=tag).first()


def machine_looked_at(person: Person, tag: str) -> Machine | None:
    """Return one of the machines of other shops at which a person may look, by its tag."""
    if not person.sees_too or person.only_shop_id is None:
        return None
    rows = Machine.objects.filter(yard__shop__in=person.sees_too, tag=tag)
    return rows.select_related(*OF_A_MACHINE).first()


def narrowed(
    machines: QuerySet[Machine], wanted: Narrowing, *, promised_from: date | None = None
) -> QuerySet[Machine]:
    """Return the machines that fit all that is wanted.

    promised_from: retired ones too whose bookings from that day on nobody has answered yet.
    """
    if wanted.machine_class:
        machines = machines.filter(makeup__machine_class=wanted.machine_class)
    if wanted.yard:
        machines = machines.filter(yard=wanted.yard)
    if wanted.service:
        falls_due = DuePoint.objects.filter(machine=OuterRef("pk"), service=wanted.service)
        machines = machines.filter(Exists(falls_due))
    if wanted.text:
        machines = machines.annotate(bare=bare_tag())
    for word in wanted.text.split():
        machines = machines.filter(
            Q(tag__icontains=word)
            | Q(bare__contains=bare(word) or word)
            | Q(serial__icontains=word)
            | Q(makeup__maker__icontains=word)
            | Q(makeup__model__icontains=word)
        )
    if wanted.state == RETIRED:
        return machines.filter(retired_on__isnull=False)
    machines = working(machines) if promised_from is None else _promised(machines, promised_from)
    return in_state(machines, wanted.state) if wanted.state else machines


def _promised(machines: QuerySet[Machine], day: date) -> QuerySet[Machine]:
    """Return machines that work, and those that were retired with a promise that still stands."""
    back = HandOver.objects.filter(booking=OuterRef("pk"), direction=HandOver.Direction.BACK)
    open_ones = Booking.objects.filter(
        ~Exists(back), machine=OuterRef("pk"), cancelled_at=None, last_day__gte=day
    )
    return machines.filter(Q(retired_on=None) | Exists(open_ones))


def with_gravity(machines: QuerySet[Machine]) -> QuerySet[Machine]:
    """Return machines with the rank of their state beside each, 0 for the worst."""
    return machines.annotate(gravity=gravity("now__state"))


def as_listed(machines: QuerySet[Machine]) -> QuerySet[Machine]:
    """Return machines in the order of their list: the worst first, then by what is due next."""
    rows: Any = with_gravity(machines)
    found: QuerySet[Machine] = rows.order_by("gravity", "now__next_due", "tag")
    return found


def by_class(machines: QuerySet[Machine]) -> QuerySet[Machine]:
    """Return machines by class, and by tag in each."""
    return machines.order_by("makeup__machine_class__name", "tag")
