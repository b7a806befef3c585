"""What makes it impossible, in the database itself, that a machine is promised twice at a time.

PostgreSQL has exclusion constraints: among the standing bookings no two may meet in machine and
moments.  The machine is given as a range of one number, so that no extension is needed.  SQLite has
none, so two triggers look before a row is written.  It drops a table's triggers whenever it makes
the table anew, as Django does for most changes of a model: `see_to_it` after each `migrate` makes
them again where they are missing.
"""

from typing import Any

NAME = "booking_never_overlaps"

POSTGRES = f"""
ALTER TABLE fleet_booking ADD CONSTRAINT {NAME} EXCLUDE USING gist (
    int8range(machine_id, machine_id, '[]') WITH &&,
    tstzrange(starts_at, ends_at, '[)') WITH &&
) WHERE (cancelled_at IS NULL AND NOT stood_double)
"""
POSTGRES_OFF = f"ALTER TABLE fleet_booking DROP CONSTRAINT IF EXISTS {NAME}"

WHENS = {
    f"{NAME}_1": "INSERT",
    f"{NAME}_2": "UPDATE OF machine_id, starts_at, ends_at, cancelled_at, stood_double",
}


def trigger(name: str, when: str) -> str:
    """Return the trigger that looks before a row is written; an empty span meets nothing."""
    return f"""
CREATE TRIGGER IF NOT EXISTS {name} BEFORE {when} ON fleet_booking
WHEN NEW.cancelled_at IS NULL AND NOT NEW.stood_double AND NEW.starts_at < NEW.ends_at
    AND EXISTS (
        SELECT 1 FROM fleet_booking AS other
        WHERE other.machine_id = NEW.machine_id AND other.ends_at > NEW.starts_at
            AND other.starts_at < NEW.ends_at AND other.starts_at < other.ends_at
            AND other.cancelled_at IS NULL AND NOT other.stood_double
            AND other.id IS NOT NEW.id
    )
BEGIN SELECT RAISE(ABORT, '{NAME}'); END
"""


def forbid(connection: Any) -> None:
    """Make it impossible from now on; what stands must not overlap already."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRES)
        else:
            for name, when in WHENS.items():
                cursor.execute(trigger(name, when))


def allow(connection: Any) -> None:
    """Make it possible again: the way back of the migration."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRES_OFF)
        else:
            for name in WHENS:
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}")


def see_to_it(using: str, **_: Any) -> None:
    """Make SQLite's triggers again where a migration that remade the table has dropped them."""
    from django.db import connections

    connection = connections[using]
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM pragma_table_info('fleet_booking')")
        columns = {name for (name,) in cursor.fetchall()}
    if "stood_double" in columns:
        forbid(connection)
