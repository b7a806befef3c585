"""Move a site from one make of database to another, row by row, and compare both.

A move that was cut off leaves empty tables, or has moved all: told to move again, it goes on from
the first, and finds the second the same.

Rows go model by model with their own keys, in one transaction of the new database, while the old
one is held so that nobody writes into it.  Values are compared as the program reads them, since
the two makes store some of them differently (a time, a truth value, JSON).
"""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import islice
from typing import Any

from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections, models, transaction

from fleet.back_up.row_sums import TableSum, TableSums, add_up, count_of, differences_of
from fleet.back_up.store import CannotCopyError
from fleet.models import Machine, Person, Shop

THERE = "moved to"
MIGRATIONS = "django_migrations"
BATCH = 1000
"""Rows that are written at a time."""

Tell = Callable[[str], None]


def move_database(target: dict[str, Any], tell: Tell) -> int:
    """Move every row into an empty database; return how many there are.

    Raises:
        CannotCopyError: the database is not empty, refuses a row, or differs afterwards.

    """
    _name(target)
    try:
        if _moved_already():
            return count_of(sums_in(THERE))
        tell("the tables")
        with _there_as_default():
            call_command("migrate", verbosity=0, interactive=False)
        with transaction.atomic(), transaction.atomic(using=THERE):
            _let_go_of_first_rows()
            for model in moved_models():
                _move(model)
                tell(str(model._meta.verbose_name_plural))
            _set_counters()
            tell("compared row by row")
            here = _the_same()
        return count_of(here)
    except DatabaseError as error:
        raise CannotCopyError(f"Not moved; the new database said: {error}".strip()) from error
    finally:
        connections[THERE].close()
        del connections[THERE]
        del connections.databases[THERE]


def moved_models() -> list[type[models.Model]]:
    """Return every model that has a table of its own, those behind many-to-many fields too."""
    found = apps.get_models(include_auto_created=True)
    return [one for one in found if one._meta.managed and not one._meta.proxy]


def sums_in(alias: str) -> TableSums:
    """Return the sum of each table, of values as the program reads them."""
    return {model._meta.db_table: _sum(model, alias) for model in moved_models()}


def _name(target: dict[str, Any]) -> None:
    """Let the new database be known by a name of its own for the time of the move."""
    defaults = connections[DEFAULT_DB_ALIAS].settings_dict
    bare = {"OPTIONS": {}, "HOST": "", "PORT": "", "USER": "", "PASSWORD": ""}
    connections.databases[THERE] = defaults | bare | target


@contextmanager
def _there_as_default() -> Iterator[None]:
    """Let the new database be the only one while its tables are made.

    Migrations that fill rows ask and write the default database, as they do at every upgrade; they
    must not reach the site's own.
    """
    here, named = connections[DEFAULT_DB_ALIAS], connections.databases[DEFAULT_DB_ALIAS]
    connections.databases[DEFAULT_DB_ALIAS] = connections.databases[THERE]
    del connections[DEFAULT_DB_ALIAS]
    try:
        yield
    finally:
        connections[DEFAULT_DB_ALIAS].close()
        connections.databases[DEFAULT_DB_ALIAS] = named
        connections[DEFAULT_DB_ALIAS] = here


def _the_same() -> TableSums:
    """Return the sums of both databases; raise CannotCopyError where they differ."""
    here, there = sums_in(DEFAULT_DB_ALIAS), sums_in(THERE)
    if wrong := differences_of(here, there):
        raise CannotCopyError(f"Not moved: {'; '.join(wrong[:5])}.")
    return here


def _moved_already() -> bool:
    """Whether a site stands in the new database; refuse one that is neither ours nor empty.

    Tables of ours without a shop, a person and a machine are those of a move that was cut off, or
    of a `migrate` for it.
    """
    tables = set(connections[THERE].introspection.table_names())
    if tables - {model._meta.db_table for model in moved_models()} - {MIGRATIONS}:
        raise CannotCopyError("The database to move to is not empty; name one without tables.")
    lived_in = [
        model for model in (Shop, Person, Machine)
        if model._meta.db_table in tables and model._base_manager.using(THERE).exists()
    ]  # fmt: skip
    if lived_in and differences_of(sums_in(DEFAULT_DB_ALIAS), sums_in(THERE)):
        raise CannotCopyError(
            "The database to move to is not empty, and is not the same as this one; name one"
            " without tables."
        )
    return bool(lived_in)


def _let_go_of_first_rows() -> None:
    """Delete the few rows that making the tables brought; the site's own come in their place."""
    for model in reversed(moved_models()):
        model._base_manager.using(THERE).all()._raw_delete(THERE)


def _move(model: type[models.Model]) -> None:
    rows = model._base_manager.using(DEFAULT_DB_ALIAS).order_by("pk").iterator(BATCH)
    while some := list(islice(rows, BATCH)):
        model._base_manager.using(THERE).bulk_create(some)


def _set_counters() -> None:
    """Let each new row get a number above those that were moved."""
    there = connections[THERE]
    with there.cursor() as cursor:
        for said in there.ops.sequence_reset_sql(no_style(), moved_models()):
            cursor.execute(said)


def _sum(model: type[models.Model], alias: str) -> TableSum:
    names = [field.attname for field in model._meta.concrete_fields]
    rows = model._base_manager.using(alias).values_list(*names)
    return add_up(_plain_rows(rows.iterator(BATCH)))


def _plain_rows(rows: Iterator[tuple[Any, ...]]) -> Iterator[list[Any]]:
    for row in rows:
        yield [
            json.dumps(one, sort_keys=True) if isinstance(one, dict | list) else one for one in row
        ]
