"""GET /healthz: is the site up, for whoever watches it; no sign-in, and no word of the fleet.

The rules: the database answers a query, and its tables are those of this program.  The queue can
take a message (a folder that can be written, or a Redis that answers), and nothing owed has waited
for longer than an hour, since then no worker is looking.  Every shop with machines had a nightly
run without a failed stage in the last 36 hours; a site whose first person was entered less than 36
hours ago may have none yet.
"""

import os
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError
from django.http import HttpRequest, JsonResponse
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from redis import Redis, RedisError

from fleet.queries.tables_behind import say_behind
from fleet.version import VERSION
from scheduling.queries.site_health import (
    any_shop_without_night,
    first_person_at,
    last_whole_night,
    waits_since,
)

LONGEST_SILENCE = timedelta(hours=1)
"""Longer than any lease, so that a long nightly run on a single worker is no alarm."""

OLDEST_NIGHT = timedelta(hours=36)
"""A night and a half: one that is late or is being caught up is no alarm, two missed are."""


UNKNOWN = "not known while the database is down"


@never_cache
@login_not_required
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Answer 200 where all three are up, else 503; either way say which is not and why."""
    now = timezone.now()
    found = {"database": _look(CHECKS["database"], now)}
    for name in ("queue", "nightly"):
        found[name] = UNKNOWN if found["database"] else _look(CHECKS[name], now)
    up = not any(found.values())
    answer = {"state": "up" if up else "down", "version": VERSION}
    answer |= {name: fault or "up" for name, fault in found.items()}
    if not found["database"]:
        answer["last_night"] = _last_night(now)
    return JsonResponse(answer, status=200 if up else 503)


def _look(check: Callable[[datetime], str], now: datetime) -> str:
    """Return what is wrong, or nothing."""
    try:
        return check(now)
    except DatabaseError:
        return "down: the database does not answer"


def _database(now: datetime) -> str:
    behind = say_behind()
    return f"down: {behind}" if behind else ""


def _queue(now: datetime) -> str:
    if settings.REDIS_URL:
        try:
            with Redis.from_url(
                settings.REDIS_URL, socket_timeout=2, socket_connect_timeout=2
            ) as redis:
                redis.ping()
        except (RedisError, OSError, ValueError):
            return "down: Redis does not answer"
    elif not os.access(settings.DATA / "queue", os.W_OK | os.X_OK):
        return "down: the queue's folder cannot be written"
    if waits_since(now - LONGEST_SILENCE):
        return "down: work has been waiting for more than an hour; no worker is running"
    return ""


def _nightly(now: datetime) -> str:
    if not any_shop_without_night(now - OLDEST_NIGHT) or _is_new(now):
        return ""
    return f"down: no complete nightly run in {OLDEST_NIGHT.total_seconds() / 3600:.0f} hours"


def _last_night(now: datetime) -> str:
    """Say how long ago the last whole run of any shop ended."""
    last = last_whole_night()
    if last is None:
        return "none yet"
    return f"{(now - last).total_seconds() / 3600:.1f} h ago"


def _is_new(now: datetime) -> bool:
    first = first_person_at()
    return first is None or first > now - OLDEST_NIGHT


CHECKS: dict[str, Callable[[datetime], str]] = {
    "database": _database,
    "queue": _queue,
    "nightly": _nightly,
}

paths = [path("healthz", healthz, name="healthz")]
