"""What each anchor makes of services that are early, late, doubled or far off.

Every case: 100 h from a start at 0 h, window 10 h on both sides.
"""

import numpy as np
import pytest

from scheduling.core.intervals import (
    AnchorRule,
    CalendarRules,
    MeterRules,
    ServicesDone,
    due_points,
)
from tests.lines import due_on_calendar, due_on_meter

FROM_SERVICE, FROM_DUE_POINT, KEEP_UNLESS_EARLY, KEEP_WITHIN_WINDOW = AnchorRule
HUNDRED = {"every": 100, "early": 10, "late": 10, "start": 0}


@pytest.mark.parametrize(
    ("done_at", "from_service", "from_due_point", "keep_unless_early", "keep_within_window"),
    [
        (95, 195, 200, 200, 200),  # early, in the window
        (90, 190, 200, 200, 200),  # on its edge
        (89.9, 189.9, 200, 189.9, 189.9),  # before it opens
        (100, 200, 200, 200, 200),  # on the point
        (110, 210, 200, 200, 200),  # late, on the edge
        (110.1, 210.1, 200, 200, 210.1),  # past the window
        (199.9, 299.9, 200, 200, 299.9),  # nearly a whole interval late
        (200, 300, 300, 300, 300),  # a whole interval late: the point of 200 h has gone by
        (350, 450, 400, 400, 450),  # two points gone by
        (50, 150, 200, 150, 150),  # midway
        (40, 140, 100, 140, 140),  # nearer to the start than to the point
    ],
)
def test_next_point_after_one_service(
    done_at, from_service, from_due_point, keep_unless_early, keep_within_window
):
    expected = [from_service, from_due_point, keep_unless_early, keep_within_window]
    rules = MeterRules(np.full(4, 100.0), early=10, late=10, anchor=np.arange(4), start=0)
    no_calendar = CalendarRules(months=np.zeros(4))
    points = due_points(rules, no_calendar, ServicesDone(np.arange(4), "NaT", [done_at] * 4))
    np.testing.assert_allclose(points.due_life, expected)


@pytest.mark.parametrize("anchor", AnchorRule)
def test_the_same_service_recorded_twice_counts_once(anchor):
    once = due_on_meter([102.0], anchor=anchor, **HUNDRED)
    twice = due_on_meter([102.0, 102.0], anchor=anchor, **HUNDRED)
    assert twice.due_life == once.due_life
    assert twice.used == 1


@pytest.mark.parametrize("anchor", AnchorRule)
def test_two_records_of_one_day_count_once_on_the_calendar(anchor):
    rules = {"months": 1, "early": 3, "late": 3, "start": "2025-01-01", "anchor": anchor}
    once = due_on_calendar(["2025-02-02"], **rules)
    twice = due_on_calendar(["2025-02-02", "2025-02-02"], **rules)
    assert twice.due_day == once.due_day


def test_services_repeated_far_early_do_not_push_a_fixed_grid_out():
    points = due_on_meter([100, 105, 110, 115], anchor=FROM_DUE_POINT, **HUNDRED)
    assert points.due_life == 200


@pytest.mark.parametrize(("services", "expected"), [([240, 245], 300), ([340, 345], 400)])
def test_a_service_soon_after_a_late_one_moves_nothing_more(services, expected):
    points = due_on_meter(services, anchor=FROM_DUE_POINT, **HUNDRED)
    assert points.due_life == expected


@pytest.mark.parametrize("anchor", [KEEP_UNLESS_EARLY, KEEP_WITHIN_WINDOW])
def test_services_repeated_far_early_restart_a_window_rule_each_time(anchor):
    points = due_on_meter([10, 20, 30], anchor=anchor, **HUNDRED)
    assert points.due_life == 130


def test_a_window_wider_than_half_the_interval_does_not_run_away():
    rules = HUNDRED | {"early": 90}
    points = due_on_meter([30, 31, 32, 33], anchor=KEEP_WITHIN_WINDOW, **rules)
    assert points.due_life == 100


def test_a_fixed_grid_begins_at_a_service_older_than_the_machines_start():
    rules = HUNDRED | {"start": 1200}
    points = due_on_meter([1130], anchor=FROM_DUE_POINT, **rules)
    assert points.due_life == 1230


@pytest.mark.parametrize("anchor", AnchorRule)
def test_without_a_known_start_the_first_service_starts_the_count(anchor):
    points = due_on_meter([640], anchor=anchor, **HUNDRED | {"start": np.nan})
    assert points.due_life == 740


def test_tenths_do_not_add_up_to_an_error():
    rules = {"every": 0.1, "anchor": FROM_DUE_POINT, "start": 0}
    points = due_on_meter([0.1 * k for k in range(1, 1001)], **rules)
    assert points.due_life[0] == pytest.approx(100.1, abs=1e-9)


def test_a_point_met_but_for_rounding_has_gone_by():
    points = due_on_meter([0.3], every=0.1, start=0, anchor=FROM_DUE_POINT)
    assert 0.3 < 0.1 + 2 * 0.1  # the third point, as a computer adds it
    assert points.due_life[0] == pytest.approx(0.4)


def test_a_grid_from_31_january_returns_to_the_31st():
    services = ["2025-01-31", "2025-02-27", "2025-03-31"]
    rules = {"months": 1, "early": 5, "late": 5, "anchor": KEEP_WITHIN_WINDOW}
    found = [due_on_calendar(services[: k + 1], **rules).due_day[0] for k in range(3)]
    assert [str(day) for day in found] == ["2025-02-28", "2025-03-31", "2025-04-30"]


@pytest.mark.parametrize(
    ("done_on", "expected"),
    [
        ("2025-03-30", "2025-03-31"),  # one day short of the next point
        ("2025-03-31", "2025-04-30"),  # on it
        ("2025-04-01", "2025-04-30"),
        ("2026-01-15", "2026-01-31"),  # eleven points gone by
    ],
)
def test_points_that_have_gone_by_are_passed_over_on_the_calendar(done_on, expected):
    rules = {"months": 1, "start": "2025-01-31", "anchor": FROM_DUE_POINT}
    assert str(due_on_calendar([done_on], **rules).due_day[0]) == expected


def test_points_that_have_gone_by_are_passed_over_by_days():
    rules = {"days": 10, "start": "2025-01-01", "anchor": FROM_DUE_POINT}
    assert str(due_on_calendar(["2025-02-01"], **rules).due_day[0]) == "2025-02-10"
    assert str(due_on_calendar(["2025-01-31"], **rules).due_day[0]) == "2025-02-10"


@pytest.mark.parametrize("start", [12.3, 100.1, 0.1, 7.7, 1e5 + 0.3])
def test_a_service_exactly_half_way_meets_the_point_that_is_due(start):
    """As with whole hours above; sums of tenths must not decide it by their rounding."""
    points = due_on_meter([start + 125], every=250, start=start, anchor=FROM_DUE_POINT)
    assert points.due_life[0] == pytest.approx(start + 500)


@pytest.mark.parametrize(("start", "done"), [(12.3, 137.3), (100.1, 225.1)])
def test_half_way_as_it_is_typed_meets_the_point_that_is_due(start, done):
    points = due_on_meter([done], every=250, start=start, anchor=FROM_DUE_POINT)
    assert points.due_life[0] == pytest.approx(start + 500)
