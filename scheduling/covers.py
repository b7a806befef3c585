"""Which services are done with another: pairs on record, followed through."""

from fleet.models import Service


def covered_services() -> dict[int, set[int]]:
    """Return service -> all services that doing it satisfies, itself left out; one query."""
    through = Service.covers.through.objects.order_by("pk")
    direct: dict[int, set[int]] = {}
    for upper, lower in through.values_list("from_service_id", "to_service_id"):
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
