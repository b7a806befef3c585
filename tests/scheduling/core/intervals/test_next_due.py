import numpy as np
import pytest

from scheduling.core.intervals import CalendarRules, MeterRules, ServicesDone, due_points
from tests.lines import book, calendar, due_on_calendar, due_on_meter, meter

YEARLY = {"months": 12}


def test_a_service_never_done_is_due_every_after_the_start():
    points = due_points(meter(250, start=40), calendar("2025-03-01", **YEARLY), ServicesDone.none())
    assert points.due_life == 290
    assert str(points.due_day[0]) == "2026-03-01"
    assert points.never_done.all()
    assert not points.due_at_once.any()


def test_a_first_point_comes_before_every():
    rules = calendar("2025-03-01", first_months=1, **YEARLY)
    points = due_points(meter(250, first_at=20, start=40), rules, ServicesDone.none())
    assert points.due_life == 60
    assert str(points.due_day[0]) == "2025-04-01"


def test_a_service_never_done_with_an_unknown_start_is_due_at_once():
    points = due_points(meter(250), calendar(), ServicesDone.none())
    assert points.due_at_once.all()
    assert points.start_unknown.all()
    assert np.isnan(points.due_life).all()


def test_one_unknown_start_of_two_is_enough_to_be_due_at_once():
    points = due_points(meter(250), calendar("2025-03-01", **YEARLY), ServicesDone.none())
    assert points.due_at_once.all()
    assert str(points.due_day[0]) == "2026-03-01"


def test_a_service_without_a_life_moves_only_the_calendar():
    rules = calendar("2025-03-01", **YEARLY)
    points = due_points(meter(250, start=40), rules, book(("2025-06-10", None)))
    assert points.due_life == 290
    assert str(points.due_day[0]) == "2026-06-10"
    assert points.used == 1
    assert not points.never_done.any()


def test_a_meter_that_cannot_be_counted_does_not_outweigh_a_known_calendar():
    points = due_points(meter(250), calendar(**YEARLY), book(("2025-06-10", None)))
    assert points.start_unknown.all()
    assert not points.due_at_once.any()


def test_a_lone_meter_side_that_cannot_be_counted_is_due_at_once():
    points = due_points(meter(250), calendar(), book(("2025-06-10", None)))
    assert points.due_at_once.all()
    assert not points.never_done.any()


def test_a_service_without_a_day_moves_only_the_meter():
    rules = calendar("2025-03-01", **YEARLY)
    points = due_points(meter(250, start=40), rules, book((None, 260)))
    assert points.due_life == 510
    assert str(points.due_day[0]) == "2026-03-01"


def test_a_service_with_neither_day_nor_life_says_nothing():
    points = due_points(meter(250, start=40), calendar(), book((None, None)))
    assert points.never_done.all()
    assert points.due_life == 290


def test_a_service_older_than_the_start_still_counts():
    points = due_on_calendar(["2024-12-01"], start="2025-03-01", **YEARLY)
    assert str(points.due_day[0]) == "2025-12-01"


def test_a_line_without_any_rule_is_never_due():
    points = due_points(meter(), calendar(), ServicesDone.none())
    assert np.isnan(points.due_life).all()
    assert np.isnat(points.due_day).all()
    assert not points.due_at_once.any()


def test_hard_on_either_side_makes_the_line_hard():
    rules = MeterRules(np.full(3, 100.0), hard=[True, False, False])
    dates = CalendarRules(months=[12, 12, 12], hard=[False, True, False])
    assert due_points(rules, dates, ServicesDone.none()).hard.tolist() == [True, True, False]


def test_no_lines_give_no_points():
    nothing = due_points(MeterRules(np.empty(0)), CalendarRules([]), ServicesDone.none())
    assert len(nothing.due_life) == 0


def test_rules_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="2 lines of meter rules, but 1 of calendar rules"):
        due_points(MeterRules(np.full(2, 100.0)), calendar(), ServicesDone.none())


@pytest.mark.parametrize("line", [-1, 1])
def test_a_service_of_a_line_that_is_not_there_is_refused(line):
    with pytest.raises(ValueError, match=f"line {line}, but the lines are 0 to 0"):
        due_points(meter(100), calendar(), book(("2025-01-01", 10), line=line))


def test_points_can_be_made_due_at_once_by_a_finding():
    points = due_on_meter([100], every=250)
    assert points.at_once(np.array([True])).due_at_once.all()
    assert not points.due_at_once.any()


def test_a_wear_limit_before_the_due_point_comes_first():
    points = due_on_meter([100], every=250, early=20, late=20)
    sooner = points.by_life(np.array([310.0]))
    assert (sooner.opens_life, sooner.due_life, sooner.closes_life) == (310, 310, 310)


@pytest.mark.parametrize("limit", [900.0, np.nan])
def test_a_wear_limit_that_is_far_off_or_absent_changes_nothing(limit):
    points = due_on_meter([100], every=250, early=20, late=20)
    assert points.by_life(np.array([limit])).due_life == 350


def test_points_of_some_lines_can_be_taken_out():
    points = due_points(
        MeterRules([100, 200, 300], start=0), CalendarRules([0, 0, 0]), ServicesDone.none()
    )
    assert points.take(np.array([2, 0])).due_life.tolist() == [300, 100]
