"""Circles in "done after": a service that would have to wait for itself."""

from collections.abc import Mapping


def circle(follows: Mapping[int, set[int]], start: int) -> list[int]:
    """Return the way from a service back to itself, both ends included; empty where there is none.

    follows: service -> those that are done before it.  The shortest way is returned.
    """
    came: dict[int, int] = {}
    ahead = [start]
    while ahead:
        here = ahead.pop(0)
        for before in sorted(follows.get(here, ())):
            if before == start:
                return _way(came, start, here)
            if before not in came:
                came[before] = here
                ahead.append(before)
    return []


def _way(came: Mapping[int, int], start: int, end: int) -> list[int]:
    way = [start, end]
    while way[-1] != start:
        way.append(came[way[-1]])
    return way[::-1]
