import numpy as np

from scheduling.core.intervals import AnchorRule, ServicesDone
from scheduling.core.intervals.services_in_order import in_order_of_day, in_order_of_life
from tests.lines import days

KEEP = np.full(2, AnchorRule.KEEP_WITHIN_WINDOW)
SHUFFLED = ServicesDone(
    [1, 0, 0, 1, 0],
    days("2025-03-01", "2025-05-01", "2025-01-01", None, "2025-03-01"),
    [30.0, np.nan, 10.0, 20.0, 12.0],
)


def test_the_meter_side_orders_by_life_and_leaves_out_what_has_none():
    entries = in_order_of_life(SHUFFLED, 2, KEEP)
    assert entries.at.tolist() == [10, 12, 20, 30]
    assert entries.first.tolist() == [0, 2]
    assert entries.count.tolist() == [2, 2]


def test_the_calendar_side_orders_by_day_and_leaves_out_what_has_none():
    entries = in_order_of_day(SHUFFLED, 2, KEEP)
    expected = days("2025-01-01", "2025-03-01", "2025-05-01", "2025-03-01")
    np.testing.assert_array_equal(entries.at, expected)


def test_one_line_out_of_order_is_put_in_order_among_the_others():
    services = ServicesDone([0, 0, 1, 1, 1, 3], "NaT", [5.0, 9, 30, 10, 20, 7])
    entries = in_order_of_life(services, 4, np.full(4, AnchorRule.KEEP_WITHIN_WINDOW))
    assert entries.at.tolist() == [5, 9, 10, 20, 30, 7]


def test_records_of_one_day_are_one_service_at_the_last_meter_value():
    services = ServicesDone(
        [0, 0, 0], days("2025-01-01", "2025-01-01", "2025-01-02"), [10, 10.4, 11]
    )
    entries = in_order_of_life(services, 1, KEEP[:1])
    assert entries.at.tolist() == [10.4, 11]


def test_records_of_unknown_days_are_not_taken_for_one_day():
    entries = in_order_of_life(ServicesDone([0, 0], "NaT", [10, 20]), 1, KEEP[:1])
    assert entries.used.tolist() == [2]


def test_one_meter_value_on_two_days_is_one_service_on_the_meter():
    services = ServicesDone([0, 0], days("2025-01-01", "2025-02-01"), [10, 10])
    assert in_order_of_life(services, 1, KEEP[:1]).used.tolist() == [1]
    assert in_order_of_day(services, 1, KEEP[:1]).used.tolist() == [2]


def test_counting_from_the_service_keeps_only_the_last_but_counts_all():
    services = ServicesDone([0, 0, 0], "NaT", [10, 20, 30])
    entries = in_order_of_life(services, 1, np.array([AnchorRule.FROM_SERVICE]))
    assert entries.at.tolist() == [30]
    assert entries.used.tolist() == [3]


def test_the_last_point_of_a_line_without_services_is_absent():
    services = ServicesDone([1], days("2025-01-01"), [5.0])
    np.testing.assert_array_equal(in_order_of_life(services, 2, KEEP).last(), [np.nan, 5.0])
    np.testing.assert_array_equal(
        in_order_of_day(services, 2, KEEP).last(), days(None, "2025-01-01")
    )
