"""The source of a limit, in short."""

import pytest

from fleet.limit_words import short_source


@pytest.mark.parametrize(
    ("source", "short"),
    [
        ("49 CFR 393.75(c): 2/32 inch (from memory)", "49 CFR 393.75(c) (from memory)"),
        ("ANSI/ITSDF B56.1 para 6.2.8 (from memory)", "ANSI/ITSDF B56.1 para 6.2.8 (from memory)"),
        ("Statutes 23.33(6m): at most 96 dB(A) (read)", "Statutes 23.33(6m)"),
        (" p. 12 ", "p. 12"),
        ("", ""),
    ],
)
def test_what_it_says_is_left_out_and_that_it_is_from_memory_stays(source, short):
    assert short_source(source) == short


def test_without_a_bound_there_is_no_source_of_it():
    assert short_source("p. 12", known=False) == ""
