"""Every row of a table as one sum, so that two copies of it can be held against each other.

Each row is hashed by itself (SHA-256 of its values) and the hashes are added up modulo 2^256: the
sum does not depend on the order in which a database hands its rows out, and one changed, lost or
doubled row changes it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any

WRAP = 2**256


@dataclass(frozen=True)
class TableSum:
    """How many rows a table has, and the sum of all of them in hexadecimal digits."""

    rows: int
    digest: str


TableSums = Mapping[str, TableSum]


def add_up(rows: Iterable[Sequence[Any]]) -> TableSum:
    """Return the sum of rows, each a sequence of plain values."""
    count, total = 0, 0
    for row in rows:
        count += 1
        total += int.from_bytes(sha256(repr([_plain(one) for one in row]).encode()).digest())
    return TableSum(count, f"{total % WRAP:064x}")


def _plain(value: Any) -> Any:
    """Return a value in the one form in which it is hashed."""
    if isinstance(value, bytes | bytearray | memoryview):
        return bytes(value)
    if isinstance(value, datetime) and value.tzinfo is not None:
        return f"{value.timestamp():.6f}"
    return value if isinstance(value, bool | int | float | str | None) else str(value)


def differences_of(here: TableSums, there: TableSums) -> list[str]:
    """Say by table what is not the same; empty where every row is."""
    said = []
    for name in sorted({*here, *there}):
        one, other = here.get(name), there.get(name)
        if one is None or other is None:
            said.append(f"the table {name} is only in one of the two")
        elif one.rows != other.rows:
            said.append(f"{name} has {one.rows} rows in one and {other.rows} in the other")
        elif one != other:
            said.append(f"{name} has rows that are not the same")
    return said


def count_of(sums: TableSums) -> int:
    """Return how many rows all tables have."""
    return sum(one.rows for one in sums.values())
