import numpy as np
import pytest

from scheduling.core.intervals import CalendarRules, MeterRules, ServicesDone

TWO_LINES = np.array([250.0, 500.0])


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        ({"every": [250, 0]}, "line 1: every of 0 on the meter"),
        ({"every": [250, -5]}, "line 1: every of -5 on the meter"),
        ({"every": [np.inf, 250]}, "line 0: every of inf"),
        ({"every": TWO_LINES, "first_at": [20, 0]}, "line 1: first_at of 0"),
        ({"every": TWO_LINES, "early": [-1, 0]}, "line 0: early -1"),
        ({"every": TWO_LINES, "late": [0, np.nan]}, "line 1: late nan"),
        ({"every": TWO_LINES, "duty": [1, 0]}, "line 1: a duty factor of 0"),
        ({"every": TWO_LINES, "duty": [np.nan, 1]}, "line 0: a duty factor of nan"),
        ({"every": TWO_LINES, "anchor": [0, 4]}, "line 1: anchor 4"),
    ],
)
def test_meter_rules_refuse_by_line_and_value(rules, sentence):
    with pytest.raises(ValueError, match=sentence):
        MeterRules(**rules)


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        ({"months": [12, -3]}, "line 1: months of -3"),
        ({"days": [-1, 10]}, "line 0: days of -1"),
        ({"months": [0, 1], "days": [10, 10]}, "line 1: 1 months together with days"),
        ({"months": [1, 1], "first_days": [0, -2]}, "line 1: first_days of -2"),
        ({"season_month": [11, 13], "season_day": [15, 1]}, "line 1: season month 13"),
        ({"season_month": [2, 11], "season_day": [30, 1]}, "line 0: season day 30"),
        ({"season_month": [4], "season_day": [31]}, "line 0: season day 31"),
        ({"season_month": [11], "season_day": [0]}, "line 0: season day 0"),
        ({"season_month": [0], "season_day": [15]}, "line 0: season day 15"),
        ({"months": [12], "late": [-1]}, "line 0: late -1"),
        ({"months": [12], "anchor": [-1]}, "line 0: anchor -1"),
    ],
)
def test_calendar_rules_refuse_by_line_and_value(rules, sentence):
    with pytest.raises(ValueError, match=sentence):
        CalendarRules(**rules)


def test_an_absent_meter_side_is_not_refused():
    assert np.isnan(MeterRules(every=np.array([np.nan])).every).all()


def test_a_season_on_29_february_is_allowed():
    assert CalendarRules(season_month=2, season_day=29).season_day.tolist() == [29]


def test_a_scalar_stands_for_all_lines():
    rules = MeterRules(every=TWO_LINES, early=25.0, hard=True)
    assert rules.early.tolist() == [25, 25]
    assert rules.hard.tolist() == [True, True]


def test_no_lines_at_all():
    assert len(MeterRules(every=np.empty(0)).early) == 0


def test_fields_of_unequal_length_are_refused_by_name():
    with pytest.raises(ValueError, match=r"late has the shape \(2,\).* 3 lines"):
        MeterRules(every=[250, 250, 250], late=[1, 2])


def test_services_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="day has the shape"):
        ServicesDone([0, 0, 0], np.array(["2025-01-01", "2025-01-02"]), [1, 2, 3])
