"""Whether the database's tables are as this program wants them."""

from functools import cache

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from fleet.back_up.begun_mark import is_half
from fleet.saying import counted


def changes_to_come() -> list[str]:
    """Return the migrations that have not run on the database, by name; two queries."""
    ran = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in _wanted() if (app, name) not in ran)


@cache
def _wanted() -> frozenset[tuple[str, str]]:
    """All migrations of the program; they do not change while it runs."""
    return frozenset(MigrationLoader(None).graph.nodes)


def say_behind() -> str:
    """Say what to do about a database that is behind the program; empty where it is not.

    A site that was put back by halves is behind too.
    """
    if is_half(settings.DATA):
        return "the site is put back by halves; run `manage.py restore` with the same copy again"
    owed = changes_to_come()
    if not owed:
        return ""
    return (
        f"the database is behind this program by {counted(len(owed), 'change')} of its tables; "
        "run `manage.py migrate`"
    )
