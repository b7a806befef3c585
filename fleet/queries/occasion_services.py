"""What is done to a machine on an occasion: before it goes out, when it is back, around storage."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from fleet.models import Finding, LibraryCopy, Machine, Service, ServiceRecord, Storage
from fleet.procedures.library import ON_OCCASION, LibraryKind, library
from fleet.queries.standing_records import standing_records
from fleet.saying import short_date

AROUND_STORAGE = timedelta(days=14)
"""So long before and after the first and the last day of storage its procedures are called for."""


@dataclass(frozen=True)
class OccasionService:
    """A service of an occasion.  last: the day on which it was last done to the machine.

    asked: whether the shop has been asked for it.  why: what calls for it now; "" for nothing.
    """

    occasion: str
    service: Service
    last: date | None = None
    asked: Finding | None = None
    why: str = ""

    @property
    def title(self) -> str:
        """The occasion: "Before hire"."""
        return ON_OCCASION[self.occasion]


def occasion_services(
    machine: Machine, today: date, wanted: Collection[str] = tuple(ON_OCCASION)
) -> list[OccasionService]:
    """Return the services of a machine's class by occasion, what is called for now first.

    Those that the shop took from the library, of the kind that the class or the make-up's own
    services tell: five queries.
    """
    codes = {one.code: one.occasion for kind in kinds_of(machine) for one in kind.procedures}
    copies = LibraryCopy.objects.filter(code__in=[c for c, o in codes.items() if o in wanted])
    taken = {copy.service: codes[copy.code] for copy in copies.select_related("service__skill")}
    if not taken:
        return []
    done = {row.service_id: row for row in reversed(_records(machine, taken))}
    open_ones = machine.findings.filter(calls_for__in=taken, settled_at=None, struck=False)
    asked = {one.calls_for_id: one for one in open_ones}
    stored = machine.storages.filter(first_day__lte=today + AROUND_STORAGE).last()
    rows = []
    for service, occasion in taken.items():
        row = done.get(service.pk)
        last = row.done_at.astimezone(machine.yard.zone).date() if row else None
        why = _why(occasion, stored, last, today) if stored else ""
        rows.append(OccasionService(occasion, service, last, asked.get(service.pk), why))
    order = list(ON_OCCASION)
    return sorted(rows, key=lambda one: (not one.why, order.index(one.occasion), one.service.pk))


def kinds_of(machine: Machine) -> Iterable[LibraryKind]:
    """Return the kinds of the library that a machine is of."""
    name = machine.makeup.machine_class.name
    if named := [kind for kind in library() if kind.named_in(name)]:
        return named
    of_makeup = machine.makeup.intervals.values_list("service__library_copy__code", flat=True)
    codes = set(of_makeup)
    return [kind for kind in library() if codes & {one.code for one in kind.procedures}]


def _records(machine: Machine, services: Iterable[Service]) -> list[ServiceRecord]:
    """Return the entries of these services in a machine's book, the latest first."""
    rows = standing_records().filter(machine=machine, service__in=list(services))
    return list(rows.order_by("-done_at", "-pk"))


def _why(occasion: str, stored: Storage, last: date | None, today: date) -> str:
    """Say why a procedure around storage is called for now; "" where it is not, or is done."""
    begins, ends = stored.first_day, stored.last_day
    if occasion == "into-storage":
        over = ends is not None and ends < today
        done = last is not None and last >= begins - AROUND_STORAGE
        return "" if over or done else f"Stored from {short_date(begins, today)}."
    if occasion == "out-of-storage" and ends is not None:
        near = ends - AROUND_STORAGE <= today <= ends + AROUND_STORAGE
        done = last is not None and last >= ends - AROUND_STORAGE
        return f"Stored until {short_date(ends, today)}." if near and not done else ""
    return ""
