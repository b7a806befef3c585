"""How services stand to each other: what covers what, what follows what."""

from collections.abc import Sequence

from fleet.models import Service


def ties(name: str) -> dict[int, set[int]]:
    """Return service -> services that it is tied to; name: "covers" or "follows"; one query."""
    through = Service._meta.get_field(name).remote_field.through  # type: ignore[union-attr]
    found: dict[int, set[int]] = {}
    for one, other in through.objects.values_list("from_service_id", "to_service_id"):
        found.setdefault(one, set()).add(other)
    return found


def names_of_services(pks: Sequence[int]) -> list[str]:
    """Return what services are called, in the order of their keys; one query."""
    found = Service.objects.in_bulk(pks)
    return [str(found[pk]) for pk in pks]
