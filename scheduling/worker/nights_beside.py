"""Nights of several shops beside each other, each in a process of its own.

A shop's night asks and writes nothing of another shop's, so that the nights of a large site share
the cores of the computer.  Each process loads one shop at a time and then lets go of it.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from datetime import datetime
from multiprocessing import get_context
from typing import Any

import django
from django.db import connection

from fleet.models import Shop
from scheduling.worker.night import run_night

NightOf = tuple[int, datetime]
"""Number of a shop, and the moment as which its night is run."""


def nights_beside(
    nights: Sequence[NightOf], plan_seconds: float | None, processes: int
) -> Iterator[dict[str, Any]]:
    """Yield the report of each night in the order of the shops, as `run_night` returns it."""
    fresh = get_context("spawn")  # a forked process would share the connection to the database
    with ProcessPoolExecutor(processes, mp_context=fresh, initializer=django.setup) as pool:
        yield from spread(pool, nights, plan_seconds)


def one_writer() -> bool:
    """Whether shops beside each other would wait for each other's writes.

    On SQLite a shop's many small letters waited behind the long writes of another's due points.
    """
    return connection.vendor == "sqlite"


def spread(
    pool: Executor, nights: Sequence[NightOf], plan_seconds: float | None
) -> Iterator[dict[str, Any]]:
    """Have nights run by a pool; yield their reports in order."""
    work = [(shop, moment, plan_seconds) for shop, moment in nights]
    return pool.map(one_night, work)


def one_night(work: tuple[int, datetime, float | None]) -> dict[str, Any]:
    """Run the night of one shop, in whatever process this is; it has set the site up by then."""
    shop, moment, plan_seconds = work
    return run_night(Shop.objects.get(pk=shop), moment, plan_seconds=plan_seconds)
