import numpy as np

from fleet.demo import serials
from fleet.identity import serial_warning


def test_a_published_check_digit_comes_out():
    # The example of 49 CFR 565 teaching material: 1M8GDM9AXKP042788 (from memory).
    assert serials.check_digit("1M8GDM9AXKP042788") == "X"


def test_vins_fit_the_check_of_the_site():
    rng = np.random.default_rng(1)
    for year in range(2009, 2027):
        vin = serials.vin(rng, year)
        assert serial_warning(vin, road_vehicle=True, year=year) == ""


def test_a_vin_stamped_wrong_is_warned_of():
    wrong = serials.wrong_vin(serials.vin(np.random.default_rng(1), 2015))
    assert "check digit" in serial_warning(wrong, road_vehicle=True, year=2015)


def test_other_machines_carry_short_serials():
    assert len(serials.serial(np.random.default_rng(1), "Korvald")) == 8
