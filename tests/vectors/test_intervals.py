"""Due points against published worked examples; the source stands beside each test."""

from datetime import timedelta

import numpy as np
import pytest

from scheduling.core.intervals import (
    AnchorRule,
    CalendarRules,
    DuePoints,
    MeterRules,
    ServicesDone,
    allowance,
    allowance_days,
    barred,
    due_points,
    due_states,
    idle_too_long,
    nominal_length,
)
from tests.lines import book, calendar, days, due_on_calendar, due_on_meter, meter
from tests.vectors.published import vector

NOT_FORECAST = np.nan


def before(day: str, n_days: int) -> str:
    return str(np.datetime64(day) - n_days)


def window_of(points: DuePoints) -> list[str]:
    return [str(points.opens_day[0]), str(points.closes_day[0])]


def first_to_come(points: DuePoints, day: str, life: float, rate: float) -> tuple[str, str]:
    """Day and side of the first due point at a steady rate of use, in the meter's unit a day."""
    by_meter = np.datetime64(day) + timedelta(days=float((points.due_life[0] - life) / rate))
    by_day = points.due_day[0]
    return (str(by_meter), "hours") if by_meter < by_day else (str(by_day), "calendar")


def test_int_01_variance_of_quarter_half_year_and_year():
    """US Army, PS Magazine 580 (March 2001) pp. 52-55."""
    given, expected = vector("INT-01")
    percent = given["variance"] * 100
    assert (
        allowance_days(given["interval_days"], percent=percent).tolist()
        == (expected["variance_days"])
    )
    by_months = allowance_days(nominal_length([3, 6, 12], 0), percent=percent)
    assert by_months.tolist() == expected["variance_days"]


@pytest.mark.parametrize(
    ("number", "months"),
    [
        ("INT-02", 6),  # US Army, PS Magazine 636 (November 2005) p. 31
        ("INT-03", 12),  # US Army, PS Magazine 569 (2000) p. 32; the printed 10 April is a day off
    ],
)
def test_int_02_and_03_window_around_a_due_day(number, months):
    given, expected = vector(number)
    allowed = allowance_days(nominal_length(months, 0), percent=given["variance"] * 100)
    start = str(np.datetime64(given["due"], "M") - months) + given["due"][7:]
    points = due_on_calendar([], start=start, months=months, early=allowed, late=allowed)
    assert str(points.due_day[0]) == given["due"]
    assert window_of(points) == expected["window"]


@pytest.mark.parametrize("number", ["INT-04", "INT-05"])
def test_int_04_and_05_inside_and_outside_a_window_on_the_meter(number):
    """US Army TM 1-1500-328-23, recurring special inspections; 10 percent, at most 5 h."""
    given, expected = vector(number)
    allowed = allowance(given["interval_h"], percent=10, cap=5)
    rules = {
        "every": given["interval_h"],
        "start": given["due_h"] - given["interval_h"],
        "early": allowed,
        "late": allowed,
        "anchor": AnchorRule.KEEP_WITHIN_WINDOW,
    }
    before_it, after_it = due_on_meter([], **rules), due_on_meter([given["done_h"]], **rules)
    np.testing.assert_allclose(
        [before_it.opens_life[0], before_it.closes_life[0]], expected["window_h"]
    )
    np.testing.assert_allclose(after_it.due_life, [expected["next_due_h"]])


def test_int_06_tolerance_by_180_days_next_date_by_six_months():
    """US Army TM 1-1500-328-23, recurring special inspections."""
    given, expected = vector("INT-06")
    allowed = allowance_days(nominal_length(given["interval_months"], 0), percent=10, cap=30)
    assert allowed.tolist() == [given["tolerance_days"]]
    rules = {
        "months": 6,
        "start": "1998-07-31",
        "early": allowed,
        "late": allowed,
        "anchor": AnchorRule.KEEP_WITHIN_WINDOW,
    }
    assert str(due_on_calendar([], **rules).due_day[0]) == given["due"]
    assert window_of(due_on_calendar([], **rules)) == expected["window"]
    after_it = due_on_calendar([given["done"]], **rules)
    assert str(after_it.due_day[0]) == expected["next_due"]


def test_int_07_each_side_of_a_dual_rule_is_worked_out_alone():
    """US Army TM 1-1500-328-23 para 2-10; 1.4 days are cut to 1."""
    given, expected = vector("INT-07")
    hours = allowance(given["interval_h"], percent=10, cap=5)
    whole_days = allowance_days(given["interval_days"], percent=10, cap=30)
    points = due_points(
        meter(given["interval_h"], early=hours, late=hours),
        calendar(days=given["interval_days"], early=whole_days, late=whole_days),
        book((given["last_date"], given["last_h"])),
    )
    assert points.due_life.tolist() == [expected["next_due_h"]]
    assert [points.opens_life[0], points.closes_life[0]] == expected["window_h"]
    assert str(points.due_day[0]) == expected["next_due_date"]
    assert window_of(points) == expected["window_date"]


def test_int_07_only_the_side_in_its_window_keeps_its_point():
    """US Army TM 1-1500-328-23 para 2-10, the rule; the numbers of the next service are ours."""
    anchor = AnchorRule.KEEP_WITHIN_WINDOW
    points = due_points(
        meter(10, early=1, late=1, anchor=anchor),
        calendar(days=14, early=1, late=1, anchor=anchor),
        book(("1997-05-22", 1709), ("1997-06-01", 1719.5)),
    )
    assert points.due_life.tolist() == [1729]  # in its window: from the due point of 1719 h
    assert str(points.due_day[0]) == "1997-06-15"  # three days before its window: from the service


def test_int_08_excess_counts_in_the_next_interval():
    """14 CFR 91.409(b)."""
    given, expected = vector("INT-08")
    rules = {
        "every": given["interval_h"],
        "start": given["due_h"] - given["interval_h"],
        "late": given["allowed_overrun_h"],
        "anchor": AnchorRule.FROM_DUE_POINT,
        "hard": True,
    }
    due = due_on_meter([], **rules)
    out_late = barred(due, due_states(due, days("2025-01-01"), given["done_h"]))
    assert bool(out_late[0]) is not expected["overrun_allowed"]
    next_due = due_on_meter([given["done_h"]], **rules).due_life[0]
    assert next_due == expected["next_due_h"]
    assert next_due - given["done_h"] == expected["hours_left_after_inspection"]


def test_int_09_component_tolerance_is_capped():
    """US Army TM 1-1500-328-23, component time between overhauls."""
    given, expected = vector("INT-09")
    allowed = allowance(given["tbo_h"], percent=10, cap=75)
    points = due_on_meter([], every=given["tbo_h"], start=0, early=allowed, late=allowed)
    assert [points.opens_life[0], points.closes_life[0]] == expected["window_h"]


def test_int_10_late_keeps_the_grid():
    """Piston-engine maintenance manual, 912 i Series, 05-20-00 p. 3 (2012)."""
    given, expected = vector("INT-10")
    points = due_on_meter(
        [given["done_h"]],
        every=given["interval_h"],
        start=0,
        early=given["tolerance_h"],
        late=given["tolerance_h"],
        anchor=AnchorRule.KEEP_UNLESS_EARLY,
    )
    assert points.due_life[0] == expected["next_due_h"] != expected["not"]
    assert [points.opens_life[0], points.closes_life[0]] == expected["next_window_h"]


def test_int_11_three_months_or_150_hours_whichever_first():
    """WAC 296-869-40010 Table 2."""
    given, expected = vector("INT-11")
    points = due_points(
        meter(given["interval_h"]),
        calendar(months=given["interval_months"]),
        book((given["last"], given["last_h"])),
    )
    for rate, day, side in zip(
        given["rates_h_per_day"], expected["due"], expected["driver"], strict=True
    ):
        assert first_to_come(points, given["last"], given["last_h"], rate) == (day, side)


def test_int_12_twelve_calendar_months_run_to_the_end_of_the_month():
    """14 CFR 91.409(a)."""
    given, expected = vector("INT-12")
    for done, good_to in zip(given["annual_done"], expected["valid_through"], strict=True):
        points = due_on_calendar([done], months=12, end_of_month=True)
        assert str(points.due_day[0]) == good_to


@pytest.mark.parametrize("place", [0, 1, 2])
def test_int_13_month_half_year_and_year_classes(place):
    """US Army TM 9-6115-650-14&P para 4-10: each is due at its hours or its date."""
    _, expected = vector("INT-13")
    interval = expected["interval"][place]
    points = due_points(
        meter(interval["hours"]), calendar(months=interval["months"]), book(("2025-01-31", 400))
    )
    assert points.due_life[0] == 400 + interval["hours"]
    assert (
        str(points.due_day[0])
        == {1: "2025-02-28", 6: "2025-07-31", 12: "2026-01-31"}[interval["months"]]
    )


def test_int_14_out_of_service_for_more_than_three_months():
    """WAC 296-869-40010 Table 2: inspected before it returns to service."""
    given, expected = vector("INT-14")
    assert expected["reason"] == "out of service more than 3 months"
    today = days("2025-06-01")
    last_used = today - given["out_of_service_days"]
    never = days(None)
    points = due_on_calendar([before("2025-06-01", 60)], months=3, hard=True)
    idle = idle_too_long(last_used, never, today, np.array([3]))
    states = due_states(points.at_once(idle), today, NOT_FORECAST)
    assert barred(points, states).tolist() == [True]


def test_int_15_month_or_60_hours():
    """US Army TM 5-3895-383-24 para 1-12a; TM 10-3930-671-24 app. E."""
    _, expected = vector("INT-15")
    points = due_points(
        meter(expected["hours"]), calendar(months=expected["months"]), book(("2025-01-10", 100))
    )
    assert first_to_come(points, "2025-01-10", 100, 3.0) == ("2025-01-30", "hours")
    assert first_to_come(points, "2025-01-10", 100, 1.0) == ("2025-02-10", "calendar")


def test_int_16_passed_within_the_preceding_twelve_months():
    """49 CFR 396.17(c)."""
    given, expected = vector("INT-16")
    points = due_on_calendar([given["last_passed"]], months=12, hard=True)
    allowed = [
        not barred(points, due_states(points, days(day), NOT_FORECAST))[0]
        for day in given["use_on"]
    ]
    assert allowed == expected["allowed"]


def test_int_17_half_year_miles_or_hours_whichever_first():
    """US Army TM 9-2350-287-20-1 para 2-13: two meters are two lines."""
    given, expected = vector("INT-17")
    rates = given["rates_per_day"]
    points = due_points(
        MeterRules(np.array([1500.0, 150.0])),
        CalendarRules(months=np.array([6, 6])),
        ServicesDone(np.array([0, 1]), days(given["last"], given["last"]), np.zeros(2)),
    )
    days_left = points.due_life / [rates["mi"], rates["h"]]
    due = np.datetime64(given["last"]) + days_left.astype("timedelta64[D]")
    assert str(np.minimum(due, points.due_day).min()) == expected["due"]
    assert ["miles", "hours"][int(due.argmin())] == expected["driver"]


def test_tab_01_thousand_hours_or_yearly():
    """US Army TM 5-2420-231-23-2."""
    _, expected = vector("TAB-01")
    points = due_points(
        meter(expected["hours"], start=0),
        calendar("2025-02-28", months=expected["months"]),
        ServicesDone.none(),
    )
    assert first_to_come(points, "2025-02-28", 0, 10.0) == ("2025-06-08", "hours")
    assert first_to_come(points, "2025-02-28", 0, 2.0) == ("2026-02-28", "calendar")


def test_tab_02_fifty_hours_or_ninety_days():
    """US Army TM 5-3895-383-24 para 1-12c."""
    _, expected = vector("TAB-02")
    points = due_points(
        meter(expected["hours"]), calendar(days=expected["days"]), book(("2025-01-01", 10))
    )
    assert points.due_life.tolist() == [60]
    assert str(points.due_day[0]) == "2025-04-01"


def test_tab_03_quarterly_with_miles_and_miles_whatever_the_calendar_says():
    """US Army TM 9-2320-365-20-5 app. H."""
    _, expected = vector("TAB-03")
    quarterly, by_miles = expected["rule"]
    points = due_points(
        MeterRules(np.array([quarterly["miles"], by_miles["miles"]], dtype=float), start=0),
        CalendarRules(months=[quarterly["months"], by_miles["calendar"] or 0], start="2025-01-31"),
        ServicesDone.none(),
    )
    assert points.due_life.tolist() == [3000, 6000]
    np.testing.assert_array_equal(points.due_day, days("2025-04-30", None))


def test_tab_04_first_sample_after_the_break_in():
    """US Army LO 10-3930-675-12 (2001): 50 h after the 100 h break-in."""
    _, expected = vector("TAB-04")
    points = due_on_meter([], every=50, first_at=100 + 50, start=0)
    assert points.due_life[0] == expected["first_sample_h"]


def series(first: str, count: int, **rules: int) -> list[str]:
    """Due days of a fixed grid, each service done on its day."""
    done = [first]
    while len(done) < count:
        points = due_on_calendar(done, start=first, anchor=AnchorRule.FROM_DUE_POINT, **rules)
        done.append(str(points.due_day[0]))
    return done


@pytest.mark.parametrize(("number", "every"), [("STD-01", 1), ("STD-02", 7)])
def test_std_01_and_02_daily_and_weekly(number, every):
    """RFC 5545 section 3.8.5.3."""
    given, expected = vector(number)
    assert series(given["dtstart"][:10], 10, days=every) == expected["dates"]


def test_std_05_every_18_months():
    """RFC 5545 section 3.8.5.3: each of the days in September 1997 comes again 18 months later."""
    _, expected = vector("STD-05")
    first, later = expected["dates"][:4], expected["dates"][6:]
    assert [series(day, 2, months=18)[1] for day in first] == later


def test_std_06_a_day_that_a_month_lacks_is_moved_where_a_calendar_file_skips_it():
    """RFC 5545 section 3.8.5.3 skips 30 February; a service is due on the last day instead."""
    _, expected = vector("STD-06")
    on_the_15th, on_the_30th = expected["dates"][0], expected["dates"][1]
    ours = sorted(series(on_the_15th, 3, months=1) + series(on_the_30th, 3, months=1))
    assert [day for day in ours if day != "2007-02-28"] == expected["dates"]
    assert "2007-02-28" in ours


def test_std_07_yearly_in_june_and_july():
    """RFC 5545 section 3.8.5.3."""
    _, expected = vector("STD-07")
    june, july = expected["dates"][:2]
    ours = sorted(series(june, 5, months=12) + series(july, 5, months=12))
    assert ours == expected["dates"]
