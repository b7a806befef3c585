"""When a letter may go, by what its reader chose.  Denver is UTC-7 on 2 March 2026."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from scheduling.models import Notice
from scheduling.notices.wishes import SAFETY, How, Wish, goes_at

DENVER = ZoneInfo("America/Denver")
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)  # 05:00 in Denver
PARTS, HELD = Notice.Kind.PARTS, Notice.Kind.HELD


def hours(kind, wish, now=NOON, made_at=NOON):
    return (goes_at(kind, wish, made_at, now, DENVER) - now) / timedelta(hours=1)


@pytest.mark.parametrize(
    ("wish", "wait"),
    [
        (Wish(), 0),
        (Wish(How.MORNING, time(6)), 1),
        (Wish(How.MORNING, time(4, 30)), 23.5),
        (Wish(quiet_from=time(21), quiet_to=time(6)), 1),  # over midnight
        (Wish(quiet_from=time(4), quiet_to=time(7, 30)), 2.5),
        (Wish(quiet_from=time(12), quiet_to=time(13)), 0),
        (Wish(quiet_from=time(6), quiet_to=time(21)), 0),  # it begins later
    ],
)
def test_it_goes_at_once_in_the_morning_or_after_the_quiet_hours(wish, wait):
    assert hours(PARTS, wish) == wait


@pytest.mark.parametrize("kind", sorted(SAFETY))
def test_safety_waits_for_nobody(kind):
    wish = Wish(How.MORNING, time(6), time(0), time(23, 59))
    assert hours(kind, wish) == 0


def test_the_morning_that_follows_the_writing_has_come_for_a_letter_of_yesterday():
    wish = Wish(How.MORNING, time(6))
    assert hours(PARTS, wish, now=NOON + timedelta(hours=30)) < 0


def test_a_morning_that_the_clock_skips_is_past_when_it_has_jumped():
    made = datetime(2026, 3, 8, 7, tzinfo=UTC)  # midnight; 02:00 to 03:00 are skipped
    goes = goes_at(PARTS, Wish(How.MORNING, time(2, 30)), made, made, DENVER)
    assert timedelta(hours=2) <= goes - made <= timedelta(hours=3)
