import numpy as np
import pytest

from scheduling.core.usage import UseIntervals, UseLaw, estimate_rates, fit_rates, observed_lump

LAW = UseLaw(lump=1.0, change=0.0)


def fleet(rates, n=12, days=10.0):
    """Machines that ran at these rates in n intervals up to day 120."""
    rates = np.asarray(rates, dtype=float)
    m = rates.size
    start = np.tile(120 - days * np.arange(n, 0, -1), m)
    use = np.repeat(rates * days, n)
    return UseIntervals(
        np.repeat(np.arange(m), n), start, start + days, np.full(m * n, days), use, m
    )


def test_the_belief_about_a_well_known_machine_is_its_own_rate():
    seen, group = fleet([1.0, 2.0, 4.0, 8.0] * 10), np.zeros(40, dtype=int)
    found = estimate_rates(fit_rates(seen, group, 120.0, LAW), seen, group, 120.0)
    assert found.mean_rate[:4] == pytest.approx([1, 2, 4, 8], rel=0.1)
    assert found.weights.sum(axis=1) == pytest.approx(1.0)


def test_a_machine_never_seen_is_like_its_group():
    seen, group = fleet([1.0] * 20 + [6.0] * 20), np.repeat([0, 1], 20)
    model = fit_rates(seen, group, 120.0, LAW)
    nothing = seen.where(np.zeros(seen.use.size, dtype=bool)).of(np.arange(2))
    found = estimate_rates(model, nothing, np.array([0, 1]), 120.0)
    assert found.mean_rate == pytest.approx([1, 6], rel=0.35)


def test_a_group_never_seen_takes_the_fleets_rate():
    seen = fleet([3.0] * 20)
    model = fit_rates(seen, np.zeros(20, dtype=int), 120.0, LAW)
    assert model.scale_of(np.array([0, 8])) == pytest.approx([3, 3])
    np.testing.assert_array_equal(model.shares_of(np.array([8]))[0], model.fleet_shares)


def test_given_other_work_a_machine_is_like_any_of_its_group():
    seen, group = fleet([1.0] * 20 + [8.0] * 20), np.zeros(40, dtype=int)
    changed = UseLaw(lump=1.0, change=1.0)
    found = estimate_rates(fit_rates(seen, group, 120.0, changed), seen, group, 120.0)
    assert found.mean_rate[0] == pytest.approx(found.mean_rate[39], rel=0.02)


@pytest.mark.parametrize("unit", [1.0, 3600.0, 1e-3])
def test_units_do_not_matter(unit):
    seen, group = fleet(np.linspace(0.5, 9, 30)), np.zeros(30, dtype=int)
    other = UseIntervals(seen.machine, seen.start, seen.end, seen.days, seen.use * unit, 30)
    one = estimate_rates(fit_rates(seen, group, 120.0, LAW), seen, group, 120.0)
    two = estimate_rates(fit_rates(other, group, 120.0, LAW), other, group, 120.0)
    np.testing.assert_allclose(two.mean_rate, one.mean_rate * unit)


def test_before_anything_ran_the_owner_says_what_is_usual():
    seen, group = fleet([0.0, 0.0]), np.zeros(2, dtype=int)
    assert fit_rates(seen, group, 120.0, LAW, usual_rate=5.0).fleet_rate == pytest.approx(3.0)
    nothing = seen.where(np.zeros(seen.use.size, dtype=bool))
    assert fit_rates(nothing, group, 120.0, LAW, usual_rate=5.0).fleet_rate == pytest.approx(5.0)


def test_of_two_steady_machines_a_few_percent_apart_each_is_believed_at_its_own_rate():
    rates = np.linspace(3.0, 3.3, 12)
    seen, group = fleet(rates), np.zeros(12, dtype=int)
    steady = UseLaw(lump=0.05, change=0.0)
    found = estimate_rates(fit_rates(seen, group, 120.0, steady), seen, group, 120.0)
    assert found.mean_rate == pytest.approx(rates, rel=0.005)


def test_the_lump_that_intervals_show_leaves_one_of_each_machine_for_its_rate():
    seen, group = fleet([2.0, 4.0]), np.zeros(2, dtype=int)
    level, worth = observed_lump(seen, group, 120.0)
    assert worth == seen.use.size - 2
    assert level == pytest.approx(0, abs=1e-9)
    one_each = seen.where(np.r_[True, seen.machine[1:] != seen.machine[:-1]])
    assert observed_lump(one_each, group, 120.0) == (0.0, 0.0)
