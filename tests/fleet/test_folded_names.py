"""Names and telephone numbers as they are found again."""

import pytest

from fleet.folded_names import name_key, phone_key


@pytest.mark.parametrize("typed", ["Zoë Ågren", "zoe agren", "ZOE  AGREN ", "Zoe-Agren"])
def test_a_name_is_one_whatever_its_case_accents_and_blanks(typed):
    assert name_key(typed) == "zoeagren"


@pytest.mark.parametrize("typed", ["+1 (406) 555-0142", "001 406 555 0142", "1-406-555-0142"])
def test_a_number_is_its_digits(typed):
    assert phone_key(typed) == "14065550142"


@pytest.mark.parametrize(
    ("typed", "key"), [("???", "???"), ("", ""), ("  ", ""), ("Ωμέγα", "ωμεγα")]
)
def test_a_name_of_signs_is_its_own_key(typed, key):
    assert name_key(typed) == key


def test_a_key_fits_its_column():
    assert len(name_key("&" * 120)) <= 160
