"""Numbers as people and files write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.numerals import Commas, parse_number


@pytest.mark.parametrize(
    ("text", "commas", "value"),
    [
        ("412", Commas.UNSURE, 412),
        (" 412.5 ", Commas.UNSURE, 412.5),
        ("412,5", Commas.GROUP, 412.5),  # no group of three: a decimal comma all the same
        (".5", Commas.GROUP, 0.5),
        ("1,204", Commas.GROUP, 1204),
        ("1,204", Commas.DECIMAL, 1.204),
        ("0,204", Commas.UNSURE, 0.204),  # no group starts with a zero
        ("1.204", Commas.GROUP, 1.204),
        ("1,204.5", Commas.UNSURE, 1204.5),
        ("1.204,5", Commas.UNSURE, 1204.5),
        ("1.204.500", Commas.DECIMAL, 1204500),
        ("1'204", Commas.UNSURE, 1204),
        ("1 204.5", Commas.UNSURE, 1204.5),
    ],
)
def test_numbers_are_read_as_they_are_meant(text, commas, value):
    assert parse_number(text, commas) == value


@pytest.mark.parametrize(
    ("text", "commas", "word"),
    [
        ("", Commas.UNSURE, "not a number"),  # nothing
        ("abc", Commas.UNSURE, "not a number"),  # letters
        ("1e5", Commas.UNSURE, "not a number"),  # nobody writes a meter so
        ("nan", Commas.UNSURE, "not a number"),
        ("inf", Commas.UNSURE, "not a number"),
        ("١٢", Commas.UNSURE, "not a number"),  # digits of another script are not copied blindly
        ("12 34", Commas.UNSURE, "not a number"),  # no group of three
        ("-4", Commas.UNSURE, "below zero"),
        ("−4", Commas.UNSURE, "below zero"),  # a true minus sign
        ("1,204", Commas.UNSURE, "two ways"),
        ("1.204", Commas.DECIMAL, "two ways"),
        ("1.2.3", Commas.UNSURE, "more than one decimal mark"),
        ("1,2.3,4", Commas.UNSURE, "mixes"),
        ("99999999999", Commas.UNSURE, "more than any meter"),
    ],
)
def test_what_is_no_number_gets_a_sentence(text, commas, word):
    with pytest.raises(ValueError, match=word):
        parse_number(text, commas)


@given(st.floats(min_value=0, max_value=9_999_999).map(lambda x: round(x, 2)))
def test_grouping_never_changes_a_number(value):
    assert parse_number(f"{value:,.2f}", Commas.GROUP) == value
