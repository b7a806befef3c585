"""How services stand to each other: what follows what, and circles in that."""

from collections.abc import Mapping, Sequence

from fleet.circles import circle
from fleet.models import Service
from fleet.queries.covered_services import covered_services


def what_follows() -> dict[int, set[int]]:
    """Return service -> services that it follows; one query."""
    found: dict[int, set[int]] = {}
    rows = Service.follows.through.objects.values_list("from_service_id", "to_service_id")
    for one, other in rows:
        found.setdefault(one, set()).add(other)
    return found


def never_with(service: Service) -> set[Service]:
    """Return what a service follows or keeps apart from: nothing that it can cover."""
    return {*service.follows.all(), *service.apart_from.all()}


def circle_in(
    follows: Mapping[int, set[int]], by_makeup: Mapping[int, Mapping[int, set[int]]], start: int
) -> list[int]:
    """Return a circle from a service back to itself, with both ends; empty where there is none.

    Doing a service counts as doing those that it covers, so a circle may lead over them; by_makeup:
    make-up -> service -> all that it covers there.
    """
    for covers in ({}, *by_makeup.values()):
        done_by = {pk: _with_covering(before, covers) for pk, before in follows.items()}
        if way := circle(done_by, start):
            return way
    return []


def covers_by_makeup() -> dict[int, dict[int, set[int]]]:
    """Return make-up -> service -> all that doing it satisfies there; one query."""
    return covered_services().by_makeup


def _with_covering(services: set[int], covers: Mapping[int, set[int]]) -> set[int]:
    """Return services, and those that cover any of them."""
    return services | {upper for upper, lower in covers.items() if services & lower}


def names_of_services(pks: Sequence[int]) -> list[str]:
    """Return what services are called, in the order of their keys; one query."""
    found = Service.objects.in_bulk(pks)
    return [str(found[pk]) for pk in pks]


def say_circle(way: Sequence[int]) -> str:
    """Say a circle: "Oil, which follows Road test, which follows Oil"; one query."""
    return ", which follows ".join(names_of_services(way))
