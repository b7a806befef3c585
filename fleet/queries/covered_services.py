"""Which services are done with another on a make-up: pairs on record, followed through."""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet

from fleet.models import Covering

Pairs = Iterable[tuple[int, int, int]]
"""Keys: a make-up, a service, one that doing it satisfies there."""


def covering_pairs(*_: object) -> "QuerySet[Any, Any]":
    """Return the pairs on record, as `Pairs`."""
    return Covering.objects.order_by("pk").values_list("makeup_id", "service_id", "covered_id")


class CoveredServices:
    """What doing a service satisfies, make-up by make-up, over any number of steps."""

    def __init__(self, pairs: Pairs) -> None:
        direct: dict[int, dict[int, set[int]]] = {}
        for makeup, upper, lower in pairs:
            direct.setdefault(makeup, {}).setdefault(upper, set()).add(lower)
        self.by_makeup = {
            makeup: {service: _reached(service, here) for service in here}
            for makeup, here in direct.items()
        }

    def of(self, makeup: int, service: int | None) -> set[int]:
        """Return the services that doing one satisfies on a make-up, itself left out."""
        return self.by_makeup.get(makeup, {}).get(service or 0, set())

    def done_with(self, makeup: int, service: int | None) -> set[int]:
        """Return the same with the service itself; none for a repair."""
        return {service, *self.of(makeup, service)} if service else set()

    def covering(self, makeup: int, service: int) -> set[int]:
        """Return the services whose doing satisfies one on a make-up."""
        here = self.by_makeup.get(makeup, {})
        return {upper for upper, lower in here.items() if service in lower}


def covered_services(pairs: Pairs | None = None) -> CoveredServices:
    """Return what each service covers.

    pairs: those on record where they are loaded already; else they are, with one query.
    """
    return CoveredServices(covering_pairs() if pairs is None else pairs)


def covered_on(makeup: int) -> CoveredServices:
    """Return what each service covers on one make-up; one query."""
    return CoveredServices(covering_pairs().filter(makeup=makeup))


def _reached(service: int, direct: dict[int, set[int]]) -> set[int]:
    """Follow the pairs from one service; a circle ends where it began."""
    found: set[int] = set()
    ahead = [service]
    while ahead:
        fresh = direct.get(ahead.pop(), set()) - found
        found |= fresh
        ahead += sorted(fresh)
    return found - {service}
