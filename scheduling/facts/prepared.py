"""Queries that are put into SQL once and asked again with other values.

Building the SQL of a query takes Django five times as long as the database takes to answer it
about one machine, and a changed reading asks some thirty of them.  So each query is written once,
as a function that returns a queryset; for one machine it is compiled with placeholders in the
place of its arguments, and only these are filled in after that.

This leans on `SQLCompiler`, which Django does not promise to keep as it is: there is no public way
to hold on to a compiled query.  It stays because one changed reading took 50 ms without it and 13
with it, beside each other on one machine (`python -m tests.benchmarks.refresh_speed`, November
2026).  `tests/scheduling/facts/test_prepared.py` compares the rows with the plain query, so
that a Django that compiles otherwise fails there and not in a shop.
"""

from collections.abc import Callable, Iterable
from datetime import date, datetime
from functools import cache
from typing import Any

from django.db import connection
from django.db.models import (
    BigIntegerField,
    CharField,
    DateField,
    DateTimeField,
    Expression,
    Field,
    QuerySet,
)
from django.db.models.sql.compiler import SQLCompiler

from scheduling.facts.scope import Scope

Row = tuple[Any, ...]
Build = Callable[..., "QuerySet[Any, Any]"]

FIELDS: dict[type, type["Field[Any, Any]"]] = {
    int: BigIntegerField, str: CharField, datetime: DateTimeField, date: DateField,
}  # fmt: skip


class Given(Expression):
    """A value that is filled in when the query is asked: the place of one argument."""

    def __init__(self, name: str, output_field: "Field[Any, Any]") -> None:
        super().__init__(output_field=output_field)
        self.name = name

    def as_sql(self, compiler: SQLCompiler, connection: Any) -> tuple[str, Any]:
        """Return a placeholder whose parameter is this very place."""
        return "%s", [self]

    def bound(self, values: dict[str, Any]) -> Any:
        """Return the value for this place, as the database takes it."""
        field = self.output_field
        return field.get_db_prep_value(field.get_prep_value(values[self.name]), connection)


class Prepared:
    """A compiled query; `rows` asks it."""

    def __init__(self, query: QuerySet[Any, Any]) -> None:
        compiler = query.query.get_compiler(connection=connection)
        self.sql, self.params = compiler.as_sql()
        self.converters = compiler.get_converters([column[0] for column in compiler.select])
        self.apply = compiler.apply_converters

    def rows(self, values: dict[str, Any]) -> list[Row]:
        """Return the rows for these values."""
        params = [p.bound(values) if isinstance(p, Given) else p for p in self.params]
        with connection.cursor() as cursor:
            cursor.execute(self.sql, params)
            found: Iterable[Any] = cursor.fetchall()
        if self.converters:
            found = self.apply(found, self.converters)
        return [tuple(row) for row in found]


def rows_of(build: Build, scope: Scope, **values: Any) -> Iterable[Row]:
    """Return the rows of the query that `build(scope, **values)` returns (by `values_list`).

    For a scope of one machine it is compiled once for each database and kinds of values; so what
    the query asks must not depend on the values but through its arguments.  Values: int, str, date
    or datetime, never None.
    """
    if scope.ids is None or len(scope.ids) != 1:
        return build(scope, **values).iterator()
    given = {"shop": scope.shop_id, "machine": scope.ids[0], **values}
    return _prepared(build, connection.vendor, _kinds(values)).rows(given)


def rows_asked(build: Build, **values: Any) -> list[Row]:
    """Return the rows of the query that `build(**values)` returns, for a page that asks it often.

    It is compiled once for each database and kinds of values, as `rows_of` says.
    """
    return _compiled(build, connection.vendor, _kinds(values)).rows(values)


Kinds = tuple[tuple[str, type], ...]


def _kinds(values: dict[str, Any]) -> Kinds:
    """Return the kind of each value; raises TypeError where no place can be made for one."""
    kinds = tuple((name, type(value)) for name, value in values.items())
    for name, kind in kinds:
        if kind not in FIELDS:
            raise TypeError(f"{name} is of kind {kind.__name__}, which no place is made for.")
    return kinds


@cache
def _prepared(build: Build, vendor: str, kinds: Kinds) -> Prepared:
    scope = Scope(_place("shop", int), (_place("machine", int),))
    return Prepared(build(scope, **{name: _place(name, kind) for name, kind in kinds}))


@cache
def _compiled(build: Build, vendor: str, kinds: Kinds) -> Prepared:
    return Prepared(build(**{name: _place(name, kind) for name, kind in kinds}))


def _place(name: str, kind: type) -> Any:
    return Given(name, FIELDS[kind]())
