"""Whether keys of work name, after an upgrade, the machine and the service that they named before.

Reckoned from the rows as they were then: tag and code of a key of that release, `s:TAG:CODE`.
"""

import json
import re
from collections.abc import Callable
from typing import Any

from tests.releases.restored import Rows

OLD = re.compile(r"s:(?P<tag>[^\"]+):(?P<code>[-\w]+)")
"""A whole text, or one in quotes in JSON."""

KEYS = {
    "fleet_pin": ("work_key",),
    "fleet_putoff": ("work_key",),
    "fleet_workestimate": ("work_key",),
    "fleet_progress": ("work_key",),
    "fleet_keptwork": ("work_key",),
    "fleet_release": ("jobs",),
    "scheduling_plannedwork": ("work_key",),
    "scheduling_trial": ("changes", "solution", "shown"),
}
"""Table -> its columns in which keys of work stand."""


def other_work(then: dict[str, Rows], now: dict[str, Rows]) -> list[str]:
    """Say where a key names other work than it did; empty: nowhere."""
    renamed = _renaming(then)
    return [
        f"{table} {pk}: {column} is {now[table][pk][column]!r:.80}"
        for table, columns in KEYS.items()
        for pk, row in then.get(table, {}).items()
        for column in columns
        if not _is(now[table][pk][column], renamed(row[column]))
    ]


def _renaming(then: dict[str, Rows]) -> Callable[[str], str]:
    machines = {row["tag"]: pk for pk, row in then["fleet_machine"].items()}
    services = {row["code"]: pk for pk, row in then["fleet_service"].items()}

    def one(match: re.Match[str]) -> str:
        machine, service = machines.get(match["tag"]), services.get(match["code"])
        return f"m:{machine}:{service}" if machine and service else match[0]

    def of(text: str) -> str:
        if OLD.fullmatch(text):
            return OLD.sub(one, text)
        return re.sub(f'(?<="){OLD.pattern}(?=")', one, text)

    return of


def _is(value: Any, text: str) -> bool:
    """Tell whether a value is what a text says, as JSON where it is JSON."""
    if value == text:
        return True
    try:
        return (json.loads(value) if isinstance(value, str) else value) == json.loads(text)
    except ValueError:
        return False
