"""Which services are done with another: pairs on record, followed through."""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet

from fleet.models import Service


def covering_pairs(*_: object) -> "QuerySet[Any, Any]":
    """Return the pairs on record: a service, and one that doing it satisfies."""
    through = Service.covers.through.objects.order_by("pk")
    return through.values_list("from_service_id", "to_service_id")


def covered_services(
    pairs: Iterable[tuple[int, int]] | None = None,
) -> dict[int, set[int]]:
    """Return service -> all services that doing it satisfies, itself left out.

    pairs: those on record where they are loaded already; else they are, with one query.
    """
    direct: dict[int, set[int]] = {}
    for upper, lower in covering_pairs() if pairs is None else pairs:
        direct.setdefault(upper, set()).add(lower)
    return {service: _reached(service, direct) for service in direct}


def _reached(service: int, direct: dict[int, set[int]]) -> set[int]:
    """Follow the pairs from one service; a circle ends where it began."""
    found: set[int] = set()
    ahead = [service]
    while ahead:
        fresh = direct.get(ahead.pop(), set()) - found
        found |= fresh
        ahead += sorted(fresh)
    return found - {service}
