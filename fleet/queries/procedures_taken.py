"""The shop's procedures beside those of the library."""

from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.models import LibraryCopy, MachineClass, MakeUp, Service
from fleet.procedures.library import LibraryKind, LibraryProcedure, library, procedure_called


@dataclass(frozen=True)
class KindOnOffer:
    """A class of machine in the library; here: classes of the shop that its words tell.

    rows: each procedure with the service that the shop made of it, or None.
    """

    kind: LibraryKind
    here: tuple[str, ...]
    rows: list[tuple[LibraryProcedure, Service | None]]

    @property
    def open(self) -> int:
        """How many of it the shop has not taken."""
        return sum(service is None for _, service in self.rows)


def kinds_on_offer() -> list[KindOnOffer]:
    """Return all kinds, those of which the shop has classes first: two queries."""
    taken = {copy.code: copy.service for copy in copies()}
    classes = list(MachineClass.objects.values_list("name", flat=True))
    found = [
        KindOnOffer(
            kind,
            tuple(name for name in classes if kind.named_in(name)),
            [(one, taken.get(one.code)) for one in kind.procedures],
        )
        for kind in library()
    ]
    return sorted(found, key=lambda one: not one.here)


def copies() -> QuerySet[LibraryCopy]:
    """Return the procedures that were taken, each with its service."""
    return LibraryCopy.objects.select_related("service").order_by("service__name")


def copies_with_offers() -> list[LibraryCopy]:
    """Return those of which the library says something anew that was not declined; one query."""
    return [
        copy
        for copy in copies()
        if (now := procedure_called(copy.code)) and now.digest not in (copy.digest, copy.declined)
    ]


def services_of_makeup(makeup: MakeUp) -> QuerySet[Service]:
    """Return the services that recur on a make-up, and those taken for its class."""
    codes = [
        one.code
        for kind in library()
        if kind.named_in(makeup.machine_class.name)
        for one in kind.procedures
    ]
    rows = Service.objects.filter(intervals__makeup=makeup)
    rows |= Service.objects.filter(library_copy__code__in=codes)
    return rows.distinct().order_by("name")
