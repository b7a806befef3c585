import numpy as np
import pytest

from scheduling.core.forecast import days_of_chance, first_of, first_of_days

DAYS = np.arange(5)
METER = np.array([[0.0, 0.1, 0.3, 0.6, 0.9]])


@pytest.mark.parametrize(
    ("calendar", "chance"),
    [
        (np.nan, [0.0, 0.1, 0.3, 0.6, 0.9]),  # no calendar side
        (np.inf, [0.0, 0.1, 0.3, 0.6, 0.9]),
        (3.0, [0.0, 0.1, 0.3, 1.0, 1.0]),
        (0.0, [1.0] * 5),  # due today by the calendar
        (-20.0, [1.0] * 5),  # and long ago
    ],
)
def test_from_its_date_on_the_calendar_side_is_certain(calendar, chance):
    assert first_of(METER, DAYS, [calendar])[0].tolist() == pytest.approx(chance)


def test_two_meters_fall_due_sooner_than_either():
    both = first_of(np.stack([METER, METER]), DAYS, [np.nan])
    assert both[0].tolist() == pytest.approx((1 - (1 - METER[0]) ** 2).tolist())


def test_quantile_days_of_meter_and_calendar_are_the_earlier():
    meter = np.array([[5.0, 20.0, np.inf], [5.0, 20.0, np.inf], [5.0, 20.0, np.inf]])
    found = first_of_days(meter, [10.0, np.nan, -3.0])
    assert found.tolist() == [[5, 10, 10], [5, 20, np.inf], [0, 0, 0]]


def test_days_of_chances_agree_with_the_chances():
    found = days_of_chance(METER, DAYS, (0.05, 0.5, 0.95))
    assert found.tolist() == [[1.0, 3.0, np.inf]]
