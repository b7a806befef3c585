"""Pasts counted by hand: what the book came to, and what plans make of the same days."""

from math import inf

import numpy as np
import pytest

from scheduling.core.intervals import MeterRules
from scheduling.core.replay import FixedWork, PastBooking, as_it_was, one_less, one_more
from tests.scheduling.core.replay.small_past import (
    as_done,
    lived,
    small_crew,
    small_lines,
    small_past,
    without_chance,
)


def test_days_past_the_window_are_overdue_until_the_service_is_done():
    """Done 30 days ago, every 30 days, 2 days late at most: due on day 0, overdue from day 3 on.

    The book has it on day 10 at noon, so at the end of days 3 to 9: seven machine-days.
    """
    was = as_it_was(small_past(done=[as_done(0, 10.5)]))
    assert was.overdue_days == 7
    assert (was.visits, was.services, was.worked, was.overtime) == (1, 1, 60, 0)


def test_plans_would_have_done_it_in_its_window(monkeypatch):
    without_chance(monkeypatch)
    plans = lived(small_past(done=[as_done(0, 10.5)]))
    assert (plans.overdue_days, plans.visits, plans.services, plans.put_off) == (0, 1, 1, 0)


def test_two_services_of_one_machine_are_one_overdue_machine_day_a_day():
    lines = small_lines(2, machine=np.array([0, 0]))
    was = as_it_was(small_past(lines))
    assert was.overdue_days == 17  # days 3 to 19
    assert was.hard_days == 0


def test_what_cannot_be_done_in_the_hours_there_is_put_off_to_the_next_day(monkeypatch):
    """Twelve hours of work due, eight a day and one of overtime: two days, none overdue."""
    without_chance(monkeypatch)
    lines = small_lines(12)
    plans = lived(small_past(lines, nights=3))
    assert plans.services == 12
    assert plans.overdue_days == 0
    assert plans.overtime <= 60


def test_a_repair_that_really_came_fills_the_day_and_what_was_planned_waits(monkeypatch):
    """Ten hours of repairs on day 0: the mechanic has 8 and 1 of overtime, so nothing else fits."""
    without_chance(monkeypatch)
    repair = FixedWork(1, 0.4, 600)
    lines = small_lines(2, machine=np.array([0, 1]), nights=2)
    plans = lived(small_past(lines, nights=2, fixed=(repair,)))
    assert plans.overtime == 120
    assert plans.put_off > 0
    assert plans.services == 2  # on day 1


def test_hours_before_the_due_point_are_thrown_away_up_to_the_calendars_day():
    """2 h a day, every 100 h: done on day 40 at 80 h, 20 h are lost.

    On the second line the calendar is due on day 45, at 90 h: 10 h are lost.
    """
    lives = np.tile(2.0 * np.arange(62), (2, 1))
    common = {
        "kind": np.array(["hours", "hours"], dtype="U8"), "lives": lives,
        "meter": MeterRules(np.array([100.0, 100.0])), "machine": np.array([0, 1]),
    }  # fmt: skip
    lines = small_lines(2, every_days=[0, 45], nights=60, **common)
    done = [as_done(0, 40.0, life=80.0), as_done(1, 40.0, life=80.0)]
    was = as_it_was(small_past(lines, done, nights=60, last_done=0))
    assert was.thrown == pytest.approx(30.0)


def booking(first, last, **fields):
    usual = {"made": -20.0, "value": 500.0, "lasts": ((-inf, last),)}
    return PastBooking(1, 0, first=first, **{**usual, **fields})


@pytest.mark.parametrize(
    ("first", "last", "stood"),
    [(0, 2, 0), (1, 3, 1), (4, 8, 1), (12, 14, 0)],
    ids=["back in the window", "past it while away", "past it before", "done meanwhile"],
)
def test_a_booking_counts_where_a_service_runs_past_its_window_before_it_is_back(
    first, last, stood
):
    """The window ends with day 2; the book has the service on day 10."""
    past = small_past(done=[as_done(0, 10.5)], bookings=(booking(first, last),))
    assert as_it_was(past).bookings == stood


def test_a_booking_given_up_before_it_began_counts_nowhere():
    past = small_past(bookings=(booking(4, 8, cancelled=2.0),))
    assert as_it_was(past).bookings == 0


def test_plans_keep_the_booking_that_the_book_sent_out_overdue(monkeypatch):
    without_chance(monkeypatch)
    past = small_past(done=[as_done(0, 10.5)], bookings=(booking(4, 8),))
    assert (as_it_was(past).bookings, lived(past).bookings) == (1, 0)


def test_a_machine_that_is_out_is_not_worked_on(monkeypatch):
    """Out on days 0 to 6, told of on day 0 itself: overdue on days 3 to 6, done on day 7."""
    without_chance(monkeypatch)
    plans = lived(small_past(bookings=(booking(0, 6, made=0.3),), nights=9))
    assert (plans.overdue_days, plans.services) == (4, 1)
    assert plans.put_off == 1  # planned for day 0, when nobody knew yet


def test_with_more_hands_less_is_overdue_and_with_fewer_more():
    """Forty machines due at once, five hours of one mechanic a day."""
    past = small_past(small_lines(40), crew=small_crew(20, hours=5.0, overtime_limit=0.0))
    usual, more, less = (
        lived(shop).overdue_days for shop in (past, one_more(past), one_less(past))
    )
    assert more < usual < less


def test_the_same_seed_gives_the_same_life():
    past = small_past(small_lines(12))
    assert lived(past, seed=3) == lived(past, seed=3)


def test_a_service_that_covers_another_does_both(monkeypatch):
    without_chance(monkeypatch)
    lines = small_lines(2, machine=np.array([0, 0]), covers=((1,), ()))
    plans = lived(small_past(lines))
    assert (plans.services, plans.visits, plans.overdue_days) == (1, 1, 0)
