"""Many readings are written at once, past Django's objects: of a file there may be a million.

Django makes an object of each row and a statement of each five hundred, which takes longer than the
database to write them.  Here one statement is prepared and handed the values; a reading that is
there already is passed over, as `bulk_create(ignore_conflicts=True)` does.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import connections, router

from fleet.models import Person, Reading

Written = tuple[int, datetime, float, bool]
"""Number of the meter, moment, value in the stored unit, and whether somebody said it is so."""


@dataclass(frozen=True)
class Origin:
    """Where readings come from: the source, who read them, when they were entered."""

    source: str
    by: Person | None
    entered_at: datetime


def write_readings(rows: Sequence[Written], origin: Origin) -> None:
    """Write readings; the same meter, moment and value is written once."""
    if not rows:
        return
    own = {
        "source": str(origin.source),
        "read_by": origin.by.pk if origin.by else None,
        "entered_at": origin.entered_at,
    }
    blank = _blank(set(own) | {"meter", "read_at", "value", "really_so"})
    connection = connections[router.db_for_write(Reading)]
    fixed = own | blank
    names = ["meter", "read_at", "value", "really_so", *fixed]
    columns = ", ".join(connection.ops.quote_name(_field(name).column) for name in names)
    places = ", ".join(["%s"] * len(names))
    table = connection.ops.quote_name(Reading._meta.db_table)
    prepared = {at: _prepared("read_at", at, connection) for at in {row[1] for row in rows}}
    tail = [_prepared(name, value, connection) for name, value in fixed.items()]
    with connection.cursor() as cursor:
        cursor.executemany(
            f"INSERT INTO {table} ({columns}) VALUES ({places}) ON CONFLICT DO NOTHING",
            [(meter, prepared[at], value, sure, *tail) for meter, at, value, sure in rows],
        )


def _field(name: str) -> Any:
    return Reading._meta.get_field(name)


def _prepared(name: str, value: Any, connection: Any) -> Any:
    return _field(name).get_db_prep_save(value, connection)


def _blank(known: set[str]) -> dict[str, Any]:
    """Return every other field of a reading with what it holds where nothing is said."""
    fields = [field for field in Reading._meta.concrete_fields if not field.primary_key]
    return {field.name: field.get_default() for field in fields if field.name not in known}
