"""Services judged by the rules as they stood before them.  Hours on the meter, days of 2026."""

import numpy as np
import pytest

from scheduling.core.intervals import AnchorRule, CalendarRules, MeterRules, ServicesDone
from scheduling.core.intervals.done_on_time import judge_on_time

JAN = np.datetime64("2026-01-01")


def rules(n=1, **changes):
    given = {"every": [100.0] * n, "late": [10.0] * n, "start": [0.0] * n, **changes}
    return MeterRules(**{name: np.array(value) for name, value in given.items()})


def calendar(n=1, **changes):
    given = {"months": [0] * n, **changes}
    return CalendarRules(**{name: np.array(value) for name, value in given.items()})


def services(*done, line=0):
    """Done: (day of 2026 counted from 1 January, life)."""
    days = np.array([JAN + np.timedelta64(day, "D") for day, _ in done], dtype="datetime64[D]")
    return ServicesDone(
        np.full(len(done), line), days, np.array([life for _, life in done], dtype=np.float64)
    )


BEFORE = (-1, 0)
"""The entry with which a book begins: the day before the year, at 0 h."""


def judged(meter, cal, done, since=JAN):
    return judge_on_time(meter, cal, done, since).on_time.tolist()


@pytest.mark.parametrize(
    ("life", "on_time"),
    [
        (100, True),  # at the due point
        (110, True),  # at the late end of its window
        (110.1, False),  # past it
        (60, True),  # early is in time
    ],
)
def test_a_service_is_judged_by_its_window(life, on_time):
    assert judged(rules(), calendar(), services(BEFORE, (30, life))) == [on_time]


@pytest.mark.parametrize("life", [60, 100, 5000])
def test_the_first_service_known_of_a_line_is_not_judged(life):
    """It is where the book begins: services before it may never have been written down."""
    assert judged(rules(), calendar(), services((30, life))) == []
    assert judged(rules(), calendar(), services((30, life), (30, life))) == []


def test_each_service_is_judged_from_the_one_before_it():
    done = services(BEFORE, (30, 100), (60, 205), (90, 330))  # due at 100, 200, 305
    assert judged(rules(), calendar(), done) == [True, True, False]


def test_the_anchor_of_the_interval_holds():
    """From the due point: due at 100, 200, 300 whatever the services, so 312 is late."""
    done = services(BEFORE, (30, 108), (60, 209), (90, 312))
    anchored = rules(anchor=[AnchorRule.FROM_DUE_POINT])
    assert judged(anchored, calendar(), done) == [True, True, False]
    assert judged(rules(), calendar(), done) == [True, True, True]


def test_either_side_can_make_it_late():
    both = calendar(months=[1], late=[5], start=np.array(["2026-01-01"], dtype="datetime64[D]"))
    assert judged(rules(), both, services(BEFORE, (30, 50))) == [True]
    assert judged(rules(), both, services(BEFORE, (45, 50))) == [False]  # by the calendar
    assert judged(rules(), both, services(BEFORE, (30, 150))) == [False]  # by the meter


def test_a_service_that_nothing_can_be_counted_from_is_left_out():
    nowhere = np.full(2, np.nan)  # what the meter showed is not known of any service
    done = ServicesDone(np.zeros(2), JAN + np.array([0, 30]), nowhere)
    assert judged(rules(start=[np.nan]), calendar(), done) == []


def test_only_services_since_a_day_are_judged_but_earlier_ones_count():
    done = services((30, 100), (60, 250))
    result = judge_on_time(rules(), calendar(), done, JAN + np.timedelta64(50, "D"))
    assert result.on_time.tolist() == [False]
    assert result.day.tolist() == [(JAN + np.timedelta64(60, "D")).item()]


def test_two_of_one_day_are_judged_once():
    assert judged(rules(), calendar(), services(BEFORE, (30, 100), (30, 100))) == [True]


def test_lines_do_not_mix_and_order_does_not_matter():
    first, second = services(BEFORE, (30, 100), (60, 200)), services(BEFORE, (20, 500), line=1)
    parts = [
        np.concatenate([getattr(second, n), getattr(first, n)[::-1]])
        for n in ("line", "day", "life")
    ]
    result = judge_on_time(rules(2), calendar(2), ServicesDone(*parts), JAN)
    assert result.line.tolist() == [0, 0, 1]
    assert result.on_time.tolist() == [True, True, False]


def test_nothing_done_is_nothing_judged():
    assert judged(rules(), calendar(), ServicesDone.none()) == []
