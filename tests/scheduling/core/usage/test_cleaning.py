import numpy as np
import pytest

from scheduling.core.usage import CleaningReason, Readings, Swaps, clean

CEILING = 20.0  # hours a day


def cleaned(values, days=None, swaps=None, machine=None):
    values = np.asarray(values, dtype=float)
    days = np.arange(values.size) * 10.0 if days is None else np.asarray(days, dtype=float)
    machine = np.zeros(values.size, dtype=int) if machine is None else np.asarray(machine)
    n = int(machine.max(initial=0)) + 1
    return clean(Readings(machine, days, values), swaps or Swaps.none(), n, CEILING)


def swap(day, old, new):
    return Swaps(np.array([0]), np.array([day]), np.array([old]), np.array([new]))


def test_readings_that_fit_are_all_kept_and_life_starts_at_nothing():
    found = cleaned([500.0, 540.0, 600.0])
    assert found.life.tolist() == [0.0, 40.0, 100.0]
    assert found.reason.tolist() == [CleaningReason.FINE] * 3


@pytest.mark.parametrize(
    ("values", "bad", "reason"),
    [
        ([100, 140, 1800, 220, 260, 300], 2, CleaningReason.TOO_FAST),  # decimal point left out
        ([100, 140, 18, 220, 260, 300], 2, CleaningReason.BACKWARDS),  # digit lost
        ([100, 140, 180, 220, 260, 30], 5, CleaningReason.UNCONFIRMED),  # the last one: who knows
        ([1000, 140, 180, 220, 260, 300], 0, None),  # the very first
        ([100, 140, np.nan, 220, 260, 300], 2, CleaningReason.IMPOSSIBLE),
        ([100, 140, np.inf, 220, 260, 300], 2, CleaningReason.IMPOSSIBLE),
        ([100, 140, -180, 220, 260, 300], 2, CleaningReason.IMPOSSIBLE),
    ],
)
def test_one_bad_reading_is_left_out_with_its_reason(values, bad, reason):
    found = cleaned(values)
    assert np.flatnonzero(~found.accepted).tolist() == [bad]
    assert np.isnan(found.life[bad])
    assert reason is None or found.reason[bad] == reason


def test_two_readings_on_a_new_meter_make_a_swap_without_record():
    found = cleaned([1000, 1040, 1080, 1120, 5, 45])
    assert found.accepted.all()
    assert np.flatnonzero(found.swap_suspected).tolist() == [4]
    # The unknown ten days count at the machine's own four hours a day.
    assert found.life[4] - found.life[3] == pytest.approx(40.0)
    assert found.last_value[0] == 45


def test_a_swap_on_record_joins_two_meters_exactly():
    found = cleaned([1000, 1040, 30, 70], swaps=swap(15.0, 1050.0, 0.0))
    assert found.life.tolist() == [0.0, 40.0, 80.0, 120.0]
    assert not found.swap_suspected.any()


def test_a_swap_whose_old_value_was_not_noted_leaves_the_gap_to_the_mean_rate():
    found = cleaned([1000, 1040, 30, 70], swaps=swap(15.0, np.nan, 10.0))
    assert found.life[3] == pytest.approx(40 + 20 + 20 + 40)


def test_a_reading_in_the_minute_of_a_swap_goes_to_the_nearer_meter():
    found = cleaned([1000, 1050, 0, 40], days=[0, 10, 10, 20], swaps=swap(10.0, 1050.0, 0.0))
    assert found.life.tolist() == [0.0, 50.0, 50.0, 90.0]


def test_a_meter_that_only_runs_backwards_keeps_one_reading():
    found = cleaned(1000.0 - 50.0 * np.arange(9))
    assert found.accepted.sum() == 1
    assert set(found.reason[~found.accepted]) <= {
        CleaningReason.BACKWARDS,
        CleaningReason.UNCONFIRMED,
    }


def test_a_machine_without_readings_has_no_last_reading():
    found = cleaned([100, 140], machine=[2, 2])
    assert found.last.tolist() == [-1, -1, 1]
    assert np.isnan(found.last_day[:2]).all()


def test_order_of_rows_does_not_matter():
    values = np.array([100, 140, 1800, 220, 260, 300.0])
    shuffled = np.array([3, 1, 5, 0, 2, 4])
    days = np.arange(6) * 10.0
    straight, mixed = cleaned(values), cleaned(values[shuffled], days[shuffled])
    np.testing.assert_array_equal(straight.life[shuffled], mixed.life)


def test_thousands_of_readings_a_day_with_a_thousand_bad_ones_are_cleaned():
    rng = np.random.default_rng(5)
    days = np.sort(rng.uniform(0, 10, 20_000))
    values = 500 + 8 * days
    bad = rng.choice(20_000, 1000, replace=False)
    values[bad] = values[bad] * 10
    found = cleaned(values, days)
    assert np.array_equal(np.flatnonzero(~found.accepted), np.sort(bad))


@pytest.mark.parametrize(
    ("machine", "day", "words"),
    [
        ([7], [1.0], "Reading 0 belongs to machine 7"),
        ([0], [np.nan], "day of a reading of machine 0 is nan"),
    ],
)
def test_what_cannot_be_a_reading_is_refused_by_name(machine, day, words):
    with pytest.raises(ValueError, match=words):
        clean(Readings(np.array(machine), np.array(day), np.array([5.0])), Swaps.none(), 2)
