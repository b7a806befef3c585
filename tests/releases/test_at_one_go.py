"""A new database that is made at one go has the same tables as one that ran every migration."""

from contextlib import contextmanager

import pytest
from django.conf import settings
from django.db import connections
from django.db.migrations.autodetector import MigrationAutodetector
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from tests.releases.landed import ROOT

ALIAS = "new database"
AT_ONE_GO = [
    (path.parts[-3], path.stem) for path in sorted(ROOT.glob("*/migrations/0*_at_one_go.py"))
]


@contextmanager
def new_database(folder):
    connections.databases[ALIAS] = connections.databases["default"] | {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": folder / "new.sqlite3",
        "OPTIONS": settings.SQLITE_OPTIONS,
    }
    try:
        yield connections[ALIAS]
    finally:
        connections[ALIAS].close()
        del connections[ALIAS], connections.databases[ALIAS]


def ends(loader, *, at_one_go):
    """Return the last migrations of one way or the other, of a loader that is made to go it."""
    loader.replace_migrations = at_one_go
    loader.build_graph()
    leaves = loader.graph.leaf_nodes()
    return leaves if at_one_go else [each for each in leaves if each not in AT_ONE_GO]


def tables_made(folder, *, at_one_go):
    """Return table -> its columns, and its constraints and indexes, in no order."""
    folder.mkdir()
    with new_database(folder) as connection:
        executor = MigrationExecutor(connection)
        executor.migrate(ends(executor.loader, at_one_go=at_one_go))
        look, found = connection.introspection, {}
        with connection.cursor() as cursor:
            for table in look.table_names(cursor):
                columns = {
                    column.name: column for column in look.get_table_description(cursor, table)
                }
                found[table] = columns, _named(look.get_constraints(cursor, table))
        return found


def _named(constraints):
    """SQLite gives some of them names of its own, by their order: those go by what they say."""
    told = (
        ("" if name.startswith(("__", "fk_")) else name, sorted(said.items()))
        for name, said in constraints.items()
    )
    return sorted(told, key=str)


@pytest.mark.slow
def test_both_ways_make_the_same_tables(tmp_path, django_db_blocker):
    with django_db_blocker.unblock():  # databases of its own
        one_go = tables_made(tmp_path / "one", at_one_go=True)
        step_by_step = tables_made(tmp_path / "steps", at_one_go=False)
    assert one_go.keys() == step_by_step.keys()
    assert len(one_go) > 50
    for table, made in one_go.items():
        assert made == step_by_step[table], table


def test_both_ways_end_in_the_same_models():
    states = []
    for at_one_go in (True, False):
        loader = MigrationLoader(None)
        states.append(loader.project_state(ends(loader, at_one_go=at_one_go)))
    assert MigrationAutodetector(states[0], states[1])._detect_changes() == {}
    assert MigrationAutodetector(states[1], states[0])._detect_changes() == {}


@pytest.mark.parametrize("key", AT_ONE_GO, ids=str)
def test_it_stands_for_all_before_it_in_their_order(key):
    loader = MigrationLoader(None)
    replaced = loader.replacements[key].replaces
    assert [name for _, name in replaced] == sorted(name for _, name in replaced)
    before = {place for place in loader.disk_migrations if place[0] == key[0]} - {key}
    last = max(name for _, name in replaced)
    assert set(replaced) == {place for place in before if place[1] <= last}


def test_there_is_one_of_each_half():
    assert {app for app, _ in AT_ONE_GO} == {"fleet", "scheduling"}
