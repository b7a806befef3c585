"""Who waits for a machine, and what is free for them by now."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import Exists, F, OuterRef, QuerySet

from fleet.models import Machine, MachineClass, Person, Shop, Waiting, Yard
from fleet.queries.mine import shops_of
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import wanted_still
from scheduling.queries.may_go_out import which_may
from scheduling.queries.open_classes import bookable, promised_of


@dataclass(frozen=True)
class WaitingFor:
    """Somebody who waits; free: the machines they could have, the best first."""

    row: Waiting
    free: Sequence[Availability]


@dataclass(frozen=True)
class WaitTyped:
    """What a form says of a wait."""

    machine_class: MachineClass
    yard: Yard
    first_day: date
    last_day: date
    machine: Machine | None = None
    note: str = ""
    form_key: str | None = None
    from_time: time | None = None
    to_time: time | None = None


def waits_of(shops: Iterable[Shop], today: date) -> QuerySet[Waiting]:
    """Return who waits in some shops for days that are not past, who asked first first."""
    rows = Waiting.objects.filter(over_at=None, yard__shop__in=list(shops), last_day__gte=today)
    rows = rows.select_related("customer", "machine_class", "machine", "yard__shop")
    return rows.order_by("first_day", "made_at")


def waits_for(machine_ids: Collection[int], shop: Shop, today: date) -> QuerySet[Waiting]:
    """Return who waits for one of these machines, or for any of its class in its yard."""
    return waits_of([shop], today).filter(
        machine_class__makeups__machines__in=machine_ids,
        machine_class__makeups__machines__yard=F("yard"),
    ).distinct()  # fmt: skip


def free_for(row: Waiting, today: date) -> list[Availability]:
    """Return the machines that somebody who waits could book, promised classes left for others."""
    days = wanted_still(row, today)
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    if row.machine_id:
        rows = rows.filter(pk=row.machine_id)
    answers = bookable(which_may(row.machine_class, days, today, among=rows, yard=row.yard))
    if row.machine_id:
        return answers
    left = len(answers) - promised_of(row.machine_class, days, row.yard)
    return answers if left > 0 else []


def own_waits(person: Person) -> QuerySet[Waiting]:
    """Return who waits, or waited, in the shops that a person may look at."""
    rows = Waiting.objects.filter(yard__shop__in=shops_of(person))
    return rows.select_related("customer", "machine_class", "machine", "yard")


def taken_off(person: Person, since: datetime) -> QuerySet[Waiting]:
    """Return who was taken off the list since then without a machine, the latest first."""
    rows = own_waits(person).filter(over_at__gte=since, booking=None)
    return rows.select_related("over_by").order_by("-over_at")


def has_waits(machine_ids: Collection[int]) -> Exists:
    """Whether anybody waits for such machines in a shop, beside a query of shops."""
    rows = Waiting.objects.filter(
        over_at=None, yard__shop=OuterRef("pk"),
        machine_class__makeups__machines__in=machine_ids,
    )  # fmt: skip
    return Exists(rows)


def waits_with_free(shops: Iterable[Shop], today: date) -> list[WaitingFor]:
    """Return who waits, each with what they could have; those who can be served first."""
    found = [WaitingFor(row, free_for(row, today)) for row in waits_of(shops, today)]
    return sorted(found, key=lambda one: not one.free)
