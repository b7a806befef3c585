"""Whether a migrated database still has every row, and in it every value, that it had before.

What a later migration renames or rewrites stands in the tables below, with the reason; whatever
stands in none of them has to be as it was.
"""

import json
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from uuid import UUID

from tests.releases import same_work
from tests.releases.restored import Rows

RENAMED_TABLES = {
    "scheduling_errand": ("scheduling_outboxentry", "0002_name_the_outbox: what is owed"),
}
"""Table of a release -> its name now, and why."""

LET_GO_TABLES = {
    "fleet_service_covers": "0020_fill_coverings: by make-up now; `same_coverings` compares it",
}
"""Table of a release whose rows stand in another shape now, and why."""

RENAMED_COLUMNS: dict[tuple[str, str], tuple[str, str]] = {}
"""Table of a release and its column -> the column's name now, and why."""

REWRITTEN = {
    ("django_content_type", "model"): "a renamed model is renamed there too",
    ("scheduling_machinestate", "missing"): "0008_fill_the_causes_of_blocks: in lower case",
    **{
        (table, column): "0003_name_work_by_rows: keys hold rows; `same_work` compares them"
        for table, columns in same_work.KEYS.items()
        for column in columns
    },
}
"""Table of a release and its column -> why a migration writes another value; never an empty one."""

LET_GO = {
    ("scheduling_notice", "key"): (
        "mark", "0004_fill_the_causes_of_notices: cause and round are fields of their own"
    ),
    ("scheduling_block", "sentence"): (
        "kind", "0008_fill_the_causes_of_blocks: said from values; `same_sentences` compares it"
    ),
}  # fmt: skip
"""Table of a release and its column -> the column that is filled in its stead, and why."""

MOST_SAID = 20
"""Differences told of one table."""


def differences(then: dict[str, Rows], now: dict[str, Rows]) -> list[str]:
    """Say which rows are lost and which values are other than they were; empty: all is kept."""
    said: list[str] = []
    for table, rows in sorted(then.items()):
        name = RENAMED_TABLES.get(table, (table, ""))[0]
        if name in LET_GO_TABLES:
            continue
        if name not in now:
            said.append(f"the table {table} is gone, with its {len(rows)} rows")
            continue
        found = list(_of_table(table, rows, now[name]))
        said += found[:MOST_SAID]
        if len(found) > MOST_SAID:
            said.append(f"{table}: {len(found) - MOST_SAID} more differences")
    return said


def _of_table(table: str, then: Rows, now: Rows) -> Iterator[str]:
    for key, row in then.items():
        if key not in now:
            yield f"{table}: the row {_short(row)} is lost"
            continue
        for column, value in row.items():
            yield from _of_value(table, key, column, value, now[key])


def _of_value(table: str, key: Any, column: str, value: Any, now: dict[str, Any]) -> Iterator[str]:
    name = RENAMED_COLUMNS.get((table, column), (column, ""))[0]
    if (table, column) in LET_GO:
        name = LET_GO[table, column][0]
    if name not in now:
        yield f"{table} {key}: there is no {column} any more, which was {value!r:.80}"
    elif (table, column) in REWRITTEN or (table, column) in LET_GO:
        if value not in (None, "") and now[name] in (None, ""):
            yield f"{table} {key}: {column} was {value!r:.80} and {name} is empty"
    elif plain(value, now[name]) != plain(now[name], value):
        yield f"{table} {key}: {column} was {value!r:.80} and is {now[name]!r:.80}"


def _short(row: dict[str, Any]) -> str:
    return ", ".join(f"{k}={v!r:.40}" for k, v in list(row.items())[:6])


def plain(value: Any, other: Any) -> Any:
    """Return a value as both databases can mean it, read in the light of the other's kind."""
    if isinstance(value, datetime):
        return value.replace(tzinfo=None)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, dict | list | UUID):
        return value if not isinstance(value, UUID) else value.hex
    if isinstance(value, Decimal | float | int):
        return round(float(value), 9)
    if isinstance(value, str):
        return _read(value, other)
    return str(value) if value is not None else None


def _read(text: str, other: Any) -> Any:
    """Read a text as what the other value is."""
    if isinstance(other, datetime):
        return datetime.fromisoformat(text).replace(tzinfo=None)
    if isinstance(other, time):
        return time.fromisoformat(text).isoformat()
    if isinstance(other, dict | list) or (isinstance(other, str) and text[:1] in ("{", "[")):
        return json.loads(text)
    if isinstance(other, Decimal | float | int):
        return round(float(text), 9)
    return text
