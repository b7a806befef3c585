import numpy as np
import pytest

from scheduling.core.forecast.level_courses import (
    NATURES,
    Nature,
    draw_courses,
    even_shares,
    nature_shares,
)
from scheduling.core.usage import CommonLevels

AT = -15.0 * (np.arange(17) + 0.5)
AHEAD = 15.0 * (np.arange(9) + 0.5)


def seen(log_level, deviation=0.05, at=AT):
    return CommonLevels(at, np.asarray(log_level(at)), np.full(at.size, deviation**2))


def wave(day, trough=-120.0, strength=1.0):
    return -strength * np.cos(2 * np.pi * (day - trough) / 365.25)


def spread_ahead(levels):
    return np.log(draw_courses(levels, AHEAD, even_shares())).std(axis=0)


def test_shares_add_up_and_each_strength_starts_alike():
    share = even_shares()
    strength = np.array([nature.strength for nature in NATURES])
    assert share.sum() == pytest.approx(1)
    each = [share[strength == a].sum() for a in np.unique(strength)]
    assert each == pytest.approx([1 / len(each)] * len(each))


def test_a_covariance_is_that_of_its_parts():
    days = np.array([-60.0, -30.0])
    # a season of one wave: variance a², and one that falls with the cosine
    flat, season = (Nature(a, 1, 0.0, 0.0).covariance(days) for a in (0.0, 0.5))
    turn = np.cos(2 * np.pi * 30 / 365.25)
    assert season - flat == pytest.approx(0.25 * np.array([[1, turn], [turn, 1]]))
    # a random walk from the first day on, one month later
    walk = Nature(0.0, 1, 0.0, 0.2).covariance(days) - flat
    assert walk == pytest.approx(np.array([[0, 0], [0, 0.04]]))


def test_after_a_trough_use_is_expected_to_rise_again():
    courses = draw_courses(seen(wave), AHEAD, even_shares())
    true = np.exp(wave(AHEAD))
    low, middle, high = np.quantile(courses, [0.05, 0.5, 0.95], axis=0)
    assert (low < true).all()
    assert (true < high).all()
    assert middle[3] > 1.3 * np.exp(wave(-7.5))


def test_an_even_year_leaves_little_to_come_and_an_even_quarter_more():
    year = seen(np.zeros_like, at=-15.0 * (np.arange(24) + 0.5))
    quarter = seen(np.zeros_like, at=AT[:6])
    assert spread_ahead(year)[-1] < 0.12
    assert spread_ahead(quarter)[-1] > 2 * spread_ahead(year)[-1]


def test_levels_that_are_themselves_unsure_tell_less():
    assert spread_ahead(seen(wave, 0.5))[0] > spread_ahead(seen(wave, 0.05))[0]


def test_groups_say_together_how_strong_seasons_are():
    strength = np.array([nature.strength for nature in NATURES])
    rng = np.random.default_rng(2)
    flat = [seen(lambda at: rng.normal(0, 0.02, at.size), 0.02) for _ in range(8)]
    strong = [seen(lambda at, t=t: wave(at, t), 0.02) for t in range(0, 360, 45)]
    assert nature_shares(flat[:1]) == pytest.approx(even_shares())
    assert nature_shares(flat) @ strength < 0.5 * even_shares() @ strength
    assert nature_shares(strong) @ strength > 1.2 * even_shares() @ strength


def test_the_same_levels_give_the_same_courses():
    one, two = (draw_courses(seen(wave), AHEAD, even_shares()) for _ in range(2))
    assert (one == two).all()
