"""What one meter is known to have shown."""

from datetime import UTC, datetime, timedelta

from fleet.validation import MeterHistory, Seen

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def test_neighbours_are_found_whatever_the_order_of_entry():
    known = MeterHistory([Seen(NOON + 2 * DAY, 20.0), Seen(NOON, 0.0)])
    known.add(Seen(NOON + DAY, 10.0))
    assert known.before(NOON + DAY).value == 10.0
    assert known.before(NOON + 1.5 * DAY).value == 10.0
    assert known.after(NOON + DAY).value == 20.0
    assert known.before(NOON - DAY) is None
    assert known.after(NOON + 2 * DAY) is None


def test_a_fitting_is_a_neighbour_and_no_reading():
    known = MeterHistory([Seen(NOON, 0.0, "fitted")])
    assert known.before(NOON).value == 0.0
    assert known.between(NOON, NOON) == []


def test_the_busiest_day_is_told_from_three_steps_on():
    known = MeterHistory([Seen(NOON, 0.0), Seen(NOON + DAY, 8.0), Seen(NOON + 2 * DAY, 9.0)])
    assert known.busiest_day(NOON + 9 * DAY) is None
    known.add(Seen(NOON + 4 * DAY, 13.0))
    assert known.busiest_day(NOON + 9 * DAY) == 8.0
    assert known.busiest_day(NOON + 3 * DAY) is None  # only what came before counts


def test_two_readings_of_one_morning_say_nothing_of_a_day():
    known = MeterHistory([Seen(NOON + i * DAY, i) for i in range(4)])
    known.add(Seen(NOON + 3 * DAY + timedelta(hours=1), 4.0))
    assert known.busiest_day(NOON + 9 * DAY) == 1.0
