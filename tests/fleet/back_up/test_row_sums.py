"""The sum of a table: the same rows in any order, and nothing else, have the same one."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from fleet.back_up.row_sums import add_up, count_of, differences_of

ROWS = [(1, "SL-04", 12.5), (2, "SL-05", None), (3, "", b"\x00")]


def test_the_order_does_not_matter():
    assert add_up(ROWS) == add_up(reversed(ROWS))


@pytest.mark.parametrize(
    "other",
    [
        ROWS[:2],
        [*ROWS, ROWS[0]],
        [(1, "SL-04", 12.6), *ROWS[1:]],
        [(1, "SL-05", 12.5), (2, "SL-04", None), ROWS[2]],  # values that changed places
        [(1, "SL-04", "12.5"), *ROWS[1:]],
    ],
    ids=["lost", "doubled", "changed", "swapped", "a text for a number"],
)
def test_any_change_of_a_row_changes_it(other):
    assert add_up(other) != add_up(ROWS)


def test_one_moment_in_two_zones_is_the_same():
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    assert add_up([(noon,)]) == add_up([(noon.astimezone(timezone(timedelta(hours=-7))),)])


def test_tables_that_differ_are_named():
    here = {"a": add_up(ROWS), "b": add_up(ROWS), "c": add_up(ROWS)}
    there = {"a": add_up(ROWS), "b": add_up(ROWS[:1]), "d": add_up(ROWS)}
    assert differences_of(here, there) == [
        "b has 3 rows in one and 1 in the other",
        "the table c is only in one of the two",
        "the table d is only in one of the two",
    ]
    assert differences_of(here, here) == []
    assert count_of(here) == 9
