"""Columns found by the names that people give them."""

import pytest

from fleet.intake.headers import find_columns, refuse_columns


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (["machine", "read_at", "value"], (0, 1, 2, "", "")),
        (["Tag", "Date", "Reading"], (0, 1, 2, "", "")),
        (["Date Read", "Fleet tag", "Hours"], (1, 0, 2, "hours", "")),  # the value names its meter
        (["Unit No.", "Time", "Odometer (mi)"], (0, 1, 2, "odometer", "mi")),
        (["note", "MACHINE", "timestamp", "km"], (1, 2, 3, "odometer", "km")),
    ],
)
def test_columns_are_found_whatever_their_order_and_case(names, expected):
    columns = find_columns(names)
    places = (columns.machine, columns.when, columns.value)
    assert (*places, columns.says_meter, columns.says_unit) == expected


def test_date_and_time_may_stand_apart():
    columns = find_columns(["tag", "date", "time", "meter", "value", "unit"])
    assert (columns.when, columns.clock, columns.meter, columns.unit) == (1, 2, 3, 5)


@pytest.mark.parametrize(
    "names",
    [
        ["tag", "date"],  # no value
        ["date", "value"],  # no machine
        ["tag", "value"],  # no date
        ["Q-12", "2026-03-02", "412"],  # no header at all
        [],
    ],
)
def test_what_is_no_header(names):
    assert find_columns(names) is None


def test_the_refusal_names_what_is_there_and_what_is_needed():
    sentence = str(refuse_columns(["tag", "weight"]))
    assert "“tag”, “weight”" in sentence
    assert "“read at”" in sentence


def test_of_a_million_columns_a_refusal_names_some():
    sentence = str(refuse_columns([f"column {n}" for n in range(1_000_000)]))
    assert "“column 19” and 999,980 more" in sentence
    assert len(sentence) < 1000
