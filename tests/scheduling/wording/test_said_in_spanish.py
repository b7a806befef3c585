"""Sentences that the planner can make, said in Spanish: nothing of them is left in English."""

import pytest
from django.utils.translation import override
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fleet.tongues.phrase_book import spoken
from tests.fleet.tongues.english_left import tells, words_of
from tests.scheduling.wording.nasty_names import OPAQUE, Called, names, told
from tests.scheduling.wording.test_names_stay_whole import IDS, SAID

SET_UP = Called(
    titles=["Engine overhaul", "Grease and look-over", "Boot split, it leaks", "Brakes measured"],
    tags=["T-05", "Q-01", "E-10", "S-03"],
    people=["Ana Brook", "Teo Marsh", "Runa Lund", "Pim Reed"],
    parts=["oil filter, diesel large", "engine oil 5W-40", "coolant, ready mixed", "Zz hose"],
    skills=["hydraulic", "electrical", "inspector", "general"],
    site="Bell Hollow",
)
TYPED = words_of("Boot split it leaks hose Zz Bell Hollow")
"""Words of names that no catalogue has: they stay."""


@pytest.mark.parametrize(("values", "say"), SAID, ids=IDS)
@settings(max_examples=40, deadline=None, derandomize=True)
@given(data=st.data())
def test_no_english_is_left(values, say, data):
    english = say(told(data.draw(values), OPAQUE, SET_UP), names(OPAQUE, SET_UP))
    assume(" for ." not in english)  # room is made for something
    with override("es"):
        said = spoken(english)
    assert (tells() & words_of(said)) - TYPED == set(), f"{english}\n{said}"
