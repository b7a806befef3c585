import numpy as np
import pytest

from scheduling.core.forecast import (
    Evidence,
    Hires,
    UseCircumstances,
    fit_fleet,
    life_at,
    look_ahead,
    summarise,
)
from scheduling.core.usage import Readings, Swaps, clean

ORIGIN = 200.0


def summary(machine, day, value, hires=None):
    m = 5
    cleaned = clean(
        Readings(np.array(machine), np.array(day), np.array(value)), Swaps.none(), m, 24.0
    )
    about = UseCircumstances(np.zeros(m, dtype=int), ORIGIN, hires)
    model = fit_fleet(cleaned, about)
    return summarise(model, look_ahead(model, cleaned, about), cleaned, about), cleaned


@pytest.fixture(scope="module")
def fleet():
    """0: eight months of readings; 1: four days apart; 2: one; 3: a backwards pair; 4: none."""
    machine = [0] * 9 + [1, 1, 2, 3, 3]
    day = [*np.arange(0.0, 200, 24), 190.0, 194.0, 198.0, 100.0, 190.0]
    value = [*np.arange(0.0, 200, 24) * 3, 50.0, 62.0, 900.0, 40.0, 10.0]
    return summary(machine, day, value)


def test_evidence_says_what_a_forecast_rests_on(fleet):
    assert fleet[0].evidence.tolist() == [
        Evidence.OWN,
        Evidence.THIN,
        Evidence.CLASS_ONLY,
        Evidence.CLASS_ONLY,
        Evidence.NO_READING,
    ]


def test_recent_rate_is_the_use_of_six_weeks_or_unknown(fleet):
    assert fleet[0].recent_rate[0] == pytest.approx(3.0)
    assert np.isnan(fleet[0].recent_rate[1:]).all()


def test_age_counts_from_the_last_reading(fleet):
    assert fleet[0].age[:3].tolist() == [8.0, 6.0, 2.0]
    assert np.isnan(fleet[0].age[4])


def test_expected_rate_is_near_the_machines_own(fleet):
    assert fleet[0].rate[0] == pytest.approx(3.0, rel=0.2)
    assert (fleet[0].rate > 0).all()


def test_share_on_hire_is_told_where_hires_are_kept():
    hires = Hires(np.array([0]), np.array([155]), np.array([199]), np.arange(5) < 2)
    facts, _ = summary([0, 0, 1, 1], [0.0, 199, 0, 199], [0.0, 400, 0, 400], hires)
    assert facts.hire_share[0] == pytest.approx(0.5, abs=0.01)
    assert np.isnan(facts.hire_share[2:]).all()


def test_life_at_a_moment_is_read_off_the_line(fleet):
    moment = np.array([36.0, 192.0, 198.0, 10.0, 50.0])
    found = life_at(fleet[1], moment)
    assert found[:3].tolist() == pytest.approx([108.0, 6.0, 0.0])
    assert np.isnan(found[3:]).all()
