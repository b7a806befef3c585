"""VIN check digits against published numbers (49 CFR 565)."""

import json
from pathlib import Path

import pytest

from fleet.identity import serial_warning, year_code

PUBLISHED = json.loads(
    (Path(__file__).parents[2] / "fixtures" / "published_vectors.json").read_text("utf-8")
)["vectors"]
BY_ID = {vector["id"]: vector for vector in PUBLISHED}


@pytest.mark.parametrize("vector", ["ID-01", "ID-02", "ID-03", "ID-04"])
def test_a_published_number_passes(vector):
    """Sources stand beside each vector: the sample of 49 CFR 565, and public worked examples."""
    assert serial_warning(BY_ID[vector]["inputs"]["vin"], road_vehicle=True) == ""


def test_one_wrong_character_is_warned_of():
    vin = BY_ID["ID-06"]["inputs"]["vin"]
    assert "check digit" in serial_warning(vin, road_vehicle=True)


@pytest.mark.parametrize("vin", BY_ID["ID-05"]["inputs"]["vin"])
def test_a_wrong_length_or_a_forbidden_letter_is_warned_of(vin):
    """49 CFR 565.13: 17 characters without I, O and Q."""
    warning = serial_warning(vin, road_vehicle=True)
    assert "565.13" in warning
    assert "kept as typed" in warning


def test_an_off_road_serial_is_not_judged():
    """ID-08: makers' serials of tractors and lifts often carry no check digit."""
    assert serial_warning(BY_ID["ID-08"]["inputs"]["serial"], road_vehicle=False) == ""


def test_a_vehicle_older_than_the_rule_is_not_judged():
    assert serial_warning("123456", road_vehicle=True, year=1974) == ""


def test_lower_case_and_blanks_do_not_matter():
    assert serial_warning(" 1m8gdm9axkp042788 ", road_vehicle=True) == ""


def test_year_codes_are_the_published_ones():
    """ID-07: 49 CFR 565.15 Table VII; L = 1990 and D = 2013 were read, the rest from memory."""
    case = BY_ID["ID-07"]
    assert [year_code(year) for year in case["inputs"]["year"]] == case["expected"]["code"]


def test_a_year_that_does_not_fit_the_number_is_warned_of():
    """ID-01 carries 5 in the 10th place: 2005."""
    vin = BY_ID["ID-01"]["inputs"]["vin"]
    assert serial_warning(vin, road_vehicle=True, year=2005) == ""
    assert "is 6" in serial_warning(vin, road_vehicle=True, year=2006)
