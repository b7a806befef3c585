"""Sentences that Python made, said on a Spanish page."""

import pytest
from django.utils.safestring import mark_safe
from django.utils.translation import override

from fleet.tongues.phrase_book import spoken


@pytest.fixture
def spanish():
    with override("es"):
        yield


SAID = {
    "Shop days": "Días de taller",
    "Thu 3 Dec": "jue 3 dic",
    "Wed 25 Nov 2026, 14:05": "mié 25 nov 2026, 14:05",
    "3 December 2026": "3 diciembre 2026",
    "Thu 3 Dec, in 8 days": "jue 3 dic, en 8 días",
    "between Thu 3 and Tue 15 Dec": "entre jue 3 y mar 15 dic",
    "2 h 15 min": "2 h 15 min",
    "1,204.5 h": "1,204.5 h",
    "318 cycles": "318 ciclos",
    "3 months ago": "hace 3 meses",
    "Tomorrow": "Mañana",
    "Write your name. Write a password.": "Escriba su nombre. Escriba una contraseña.",
}


@pytest.mark.parametrize("english", SAID)
def test_a_sentence_is_said_in_spanish(spanish, english):
    assert spoken(english) == SAID[english]


def test_what_people_typed_stays_as_they_typed_it(spanish):
    typed = "Rattles in second gear; look at the left boot, Ana and Luis heard it."
    assert spoken(typed) == typed


def test_an_english_page_says_it_as_it_is():
    assert spoken("Thu 3 Dec, in 8 days") == "Thu 3 Dec, in 8 days"


def test_what_is_drawn_already_is_left_alone(spanish):
    assert spoken(mark_safe("<b>today</b>")) == "<b>today</b>"
