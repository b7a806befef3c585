from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from fleet.demo.day_numbers import Clock, holidays, in_season, months_of, weekdays_of
from fleet.demo.scenario import scenario


@pytest.mark.parametrize(
    ("name", "day"),
    [
        # Federal holidays of 2026 in the United States, 5 U.S.C. 6103 (dates from memory).
        ("Memorial Day", date(2026, 5, 25)),
        ("Independence Day", date(2026, 7, 4)),
        ("Labor Day", date(2026, 9, 7)),
        ("Thanksgiving", date(2026, 11, 26)),
        ("day after Thanksgiving", date(2026, 11, 27)),
        ("Christmas", date(2026, 12, 25)),
    ],
)
def test_holidays_fall_on_their_days(name, day):
    found = holidays(scenario()["holidays"], date(2026, 1, 1), date(2026, 12, 31))
    assert found[day] == name


def test_holidays_outside_the_span_are_left_out():
    assert not holidays(scenario()["holidays"], date(2026, 2, 1), date(2026, 4, 30))


def test_a_season_may_span_the_new_year():
    days = np.array([date(2026, m, 10).toordinal() for m in (1, 3, 6, 12)])
    assert in_season(days, (11, 20), (3, 31)).tolist() == [True, True, False, True]


def test_months_and_weekdays_agree_with_the_calendar():
    days = np.arange(date(2024, 2, 25).toordinal(), date(2024, 3, 5).toordinal())
    assert months_of(days).tolist() == [date.fromordinal(d).month for d in days]
    assert weekdays_of(days).tolist() == [date.fromordinal(d).weekday() for d in days]


def test_a_moment_of_the_day_is_that_of_the_wall_clock():
    # Denver is six hours behind UTC in summer, seven in winter.
    clock = Clock(ZoneInfo("America/Denver"))
    summer, winter = date(2026, 7, 1).toordinal(), date(2026, 12, 1).toordinal()
    assert clock.at(summer, 8 * 60) == datetime(2026, 7, 1, 14, tzinfo=UTC)
    assert clock.at(winter, 8 * 60) == datetime(2026, 12, 1, 15, tzinfo=UTC)
    # The clock goes forward on 8 March 2026 at 02:00; working hours are right on that day.
    assert clock.at(date(2026, 3, 8).toordinal(), 8 * 60) == datetime(2026, 3, 8, 14, tzinfo=UTC)
