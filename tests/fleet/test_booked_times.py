"""Days and times of day become moments in the yard's zone, clock changes included.

Facts of the cases: in America/Denver the clock goes from 02:00 to 03:00 on 8 Mar 2026 and from
02:00 back to 01:00 on 1 Nov 2026; standard time is UTC-7.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.booked_times import PromisedDays, moment, say_booked, span_of

DENVER = ZoneInfo("America/Denver")
EARLIER = datetime(2026, 1, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)


def span(days, made_at=EARLIER, turn_round=0):
    return span_of(days, DENVER, made_at=made_at, turn_round=timedelta(minutes=turn_round))


@pytest.mark.parametrize(
    ("day", "hours"), [((2026, 3, 7), 24), ((2026, 3, 8), 23), ((2026, 11, 1), 25)]
)
def test_a_whole_day_is_as_long_as_the_day_is(day, hours):
    starts, ends = span(PromisedDays(date(*day), date(*day)))
    assert ends - starts == hours * HOUR


def test_a_turn_round_follows_a_time_and_no_whole_day():
    days = date(2026, 3, 2), date(2026, 3, 3)
    assert span(PromisedDays(*days), turn_round=30)[1] == datetime(2026, 3, 4, 7, tzinfo=UTC)
    by_the_hour = PromisedDays(*days, time(7, 30), time(12))
    assert span(by_the_hour, turn_round=30) == (
        datetime(2026, 3, 2, 14, 30, tzinfo=UTC), datetime(2026, 3, 3, 19, 30, tzinfo=UTC)
    )  # fmt: skip


def test_what_is_made_on_its_first_day_starts_then():
    made = datetime(2026, 3, 2, 19, 4, tzinfo=UTC)  # 12:04 in the yard
    assert span(PromisedDays(date(2026, 3, 2), date(2026, 3, 4)), made)[0] == made
    assert span(PromisedDays(date(2026, 3, 3), date(2026, 3, 4)), made)[0] > made
    assert span(PromisedDays(date(2026, 3, 1), date(2026, 3, 4)), made)[0] < made


@pytest.mark.parametrize(
    ("at", "utc"),
    [
        ((2026, 3, 8, 2, 30), (2026, 3, 8, 9, 30)),  # does not occur: by the offset before the gap
        ((2026, 11, 1, 1, 30), (2026, 11, 1, 7, 30)),  # occurs twice: the first of them
    ],
)
def test_skipped_and_repeated_times_are_read_as_rfc_5545_does(at, utc):
    assert moment(date(*at[:3]), time(*at[3:]), DENVER) == datetime(*utc, tzinfo=UTC)


@pytest.mark.parametrize("day", [date.min, date.max])
@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_the_ends_of_the_calendar_have_moments_too(day, zone):
    starts, ends = span_of(
        PromisedDays(day, day), ZoneInfo(zone), made_at=EARLIER, turn_round=timedelta()
    )
    assert starts <= ends


@pytest.mark.parametrize(
    ("days", "backwards"),
    [
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 2)), False),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 1)), True),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 2), time(12), time(12)), True),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 2), None, time(0)), True),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 3), time(12), time(7)), False),
    ],
)
def test_what_runs_backwards_is_seen(days, backwards):
    assert days.backwards == backwards


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 2)), "Mon 2 Mar"),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 5)), "Mon 2 Mar to Thu 5 Mar"),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 2), time(7, 30), time(12)),
         "Mon 2 Mar, 07:30 to 12:00"),
        (PromisedDays(date(2026, 3, 2), date(2026, 3, 5), time(7, 30), time(12)),
         "Mon 2 Mar, 07:30, to Thu 5 Mar, 12:00"),
    ],
)  # fmt: skip
def test_it_is_said_with_its_times(days, said):
    assert say_booked(days, date(2026, 3, 1)) == said
