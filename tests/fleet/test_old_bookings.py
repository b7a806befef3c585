"""Bookings of an older database are given their moments; those that overlapped are kept and marked.

Facts of the case: what the migration is handed are rows as a database held them before.
"""

from datetime import UTC, date, datetime, timedelta
from importlib import import_module

EARLIER = datetime(2026, 1, 1, tzinfo=UTC)
SPANS = import_module("fleet.migrations.0017_fill_times_of_bookings").spans


def row(key, first, last, made_at=EARLIER, zone="UTC"):
    return key, date(2026, 3, first), date(2026, 3, last), made_at, 1, zone


def at(day, hour=0):
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def filled(*rows, back=()):
    return {key: rest for key, *rest in SPANS(rows, dict(back))}


def test_whole_days_of_the_yard():
    assert filled(row(1, 2, 3, zone="Asia/Tokyo"))[1] == [
        at(2) - timedelta(hours=9), at(4) - timedelta(hours=9), False
    ]  # fmt: skip


def test_a_late_return_gives_way_to_the_next_promise():
    found = filled(row(1, 2, 5), row(2, 4, 6), back={1: at(5, 10)})
    assert found == {1: [at(2), at(4), False], 2: [at(4), at(7), False]}


def test_of_two_for_the_same_days_the_later_made_is_marked():
    found = filled(row(2, 4, 6), row(1, 2, 5), row(3, 6, 8))
    assert {key: double for key, (_, _, double) in found.items()} == {1: False, 2: True, 3: False}


def test_made_on_its_first_day_it_starts_then():
    assert filled(row(1, 2, 3, made_at=at(2, 9)))[1][0] == at(2, 9)


def test_days_at_the_ends_of_the_calendar():
    rows = [(1, date.min, date.min, EARLIER, 1, "Asia/Tokyo")]
    rows += [(2, date.max, date.max, EARLIER, 1, "Pacific/Pago_Pago")]
    assert len(SPANS(rows, {})) == 2
