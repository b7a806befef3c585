"""What PostgreSQL is told at the start of a connection: rows that are asked for are all read."""

from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper


def plan_for_all_rows(connection: BaseDatabaseWrapper, **_: Any) -> None:
    """Have queries whose rows are fetched in parts planned for all of their rows.

    Of rows that come through a cursor PostgreSQL expects the first tenth to be wanted
    (`cursor_tuple_fraction`, PostgreSQL 18 documentation, section 19.7.4, "Other Planner
    Options"), and takes the way on which the first come soonest.  A night reads them all: what
    was measured in a shop of 490 machines took 0.4 s on that way and 0.07 s on the other.
    """
    if connection.vendor == "postgresql":
        with connection.connection.cursor() as cursor:
            cursor.execute("SET cursor_tuple_fraction = 1")
