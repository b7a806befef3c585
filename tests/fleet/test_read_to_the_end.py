"""What PostgreSQL is told at the start of a connection: rows that are asked for are all read."""

from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection

from fleet.read_to_the_end import plan_for_all_rows


class Spoken:
    """A connection that keeps what it is told."""

    def __init__(self, vendor: str) -> None:
        self.vendor, self.told = vendor, list[str]()
        self.connection = SimpleNamespace(cursor=lambda: self)

    def __enter__(self) -> "Spoken":
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def execute(self, sql: str) -> None:
        self.told.append(sql)


@pytest.mark.parametrize(
    ("vendor", "told"), [("postgresql", ["SET cursor_tuple_fraction = 1"]), ("sqlite", [])]
)
def test_only_postgresql_is_told_to_plan_for_all_rows(vendor: str, told: list[str]) -> None:
    spoken: Any = Spoken(vendor)
    plan_for_all_rows(spoken)
    assert spoken.told == told


@pytest.mark.django_db
def test_a_connection_of_the_site_plans_for_all_rows() -> None:
    """On SQLite, whose rows come as they are asked for, there is no such setting."""
    known = {"sqlite": "PRAGMA synchronous", "postgresql": "SHOW cursor_tuple_fraction"}
    with connection.cursor() as cursor:
        cursor.execute(known[connection.vendor])
        (value,) = cursor.fetchone()
    assert float(value) == {"sqlite": 2.0, "postgresql": 1.0}[connection.vendor]
