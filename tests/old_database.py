"""A database as it stood at an earlier step of its migrations, to be brought up to today."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.apps.registry import Apps
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

ALIAS = "old"


class OldDatabase:
    """A database of its own, beside the tests' own; `apps` are the models as they were then."""

    alias = ALIAS

    def __init__(self, app: str, migration: str) -> None:
        self.apps = self._migrate([(app, migration)])

    def make(self, app: str, model: str, /, **fields):
        """Write one row of a model as it was."""
        return self.apps.get_model(app, model).objects.using(ALIAS).create(**fields)

    def to_today(self) -> Apps:
        """Do all migrations that are left; return the models as they are now.

        Some of them name no database: what they ask and write is of this one.
        """
        with self.as_the_site():
            self.apps = self._migrate(None)
        return self.apps

    @contextmanager
    def as_the_site(self) -> Iterator[None]:
        """Let all that is asked and written without naming a database go to this one."""
        own = connections["default"]
        connections["default"] = connections[ALIAS]
        try:
            yield
        finally:
            connections["default"] = own

    def _migrate(self, targets: list[tuple[str, str]] | None) -> Apps:
        executor = MigrationExecutor(connections[ALIAS])
        executor.loader.replace_migrations = targets is None  # an earlier step is one of the way
        executor.loader.build_graph()
        targets = targets or executor.loader.graph.leaf_nodes()
        executor.migrate(targets)
        return executor.loader.project_state(targets).apps


@contextmanager
def old_database(folder: Path, app: str, migration: str) -> Iterator[OldDatabase]:
    """Make a database in a folder as one migration of an app left it."""
    settings = connections["default"].settings_dict
    file = {"ENGINE": "django.db.backends.sqlite3", "NAME": folder / "old.sqlite3", "OPTIONS": {}}
    connections.databases[ALIAS] = settings | file
    try:
        yield OldDatabase(app, migration)
    finally:
        connections[ALIAS].close()
        del connections[ALIAS]
        del connections.databases[ALIAS]
