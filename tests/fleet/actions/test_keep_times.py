"""The moments of a booking follow all that moves it, and no two promises of a machine meet."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from fleet.actions.hand_over import WalkRound, check_in, check_out
from fleet.actions.keep_times import never_twice
from fleet.actions.make_bookings import NewBooking, call_off, move_last_day
from fleet.actions.move_machines import move_machine
from fleet.migrations._never_twice import NAME, WHENS
from fleet.models import Booking
from fleet.refusal import Refusal
from tests import factories
from tests.booked import book
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)


def wish(machine, first=TODAY, last=TODAY, **more):
    return NewBooking(machine, first, last, "Alder Creek fencing", **more)


def away(**more):
    """A booking on which its machine went out two days ago; it should come back today."""
    booking = factories.Booking(first_day=TODAY - 2 * DAY, last_day=TODAY + 2 * DAY, **more)
    check_out(booking, WalkRound(), by=None, now=NOON - 2 * DAY)
    return booking


def test_back_at_noon_it_is_booked_and_goes_out_five_minutes_later_and_both_stand():
    old = away()
    check_in(old, WalkRound(), by=None, now=NOON)
    new = book(wish(old.machine, TODAY, TODAY + DAY), by=None, now=NOON + 4 * MINUTE)
    check_out(new, WalkRound(), by=None, now=NOON + 5 * MINUTE)
    old.refresh_from_db()
    assert (old.ends_at, new.starts_at) == (NOON, NOON + 4 * MINUTE)
    assert Booking.objects.filter(cancelled_at=None).count() == 2


def test_its_turn_round_comes_first():
    old = away(machine=factories.Machine(makeup__machine_class__turn_round_minutes=60))
    check_in(old, WalkRound(), by=None, now=NOON)
    with pytest.raises(Refusal, match="is booked for"):
        book(wish(old.machine, from_time=time(12, 30)), by=None, now=NOON + 5 * MINUTE)
    book(wish(old.machine, from_time=time(13)), by=None, now=NOON + 5 * MINUTE)


def test_two_halves_of_a_day_go_to_two_customers():
    machine, tomorrow = factories.Machine(), TODAY + DAY
    book(wish(machine, tomorrow, tomorrow, to_time=time(12)), by=None, now=NOON)
    book(wish(machine, tomorrow, tomorrow, from_time=time(12)), by=None, now=NOON)
    with pytest.raises(Refusal, match="is booked for Alder Creek fencing, Tue 3 Mar, 00:00 to 12"):
        book(wish(machine, tomorrow, tomorrow, from_time=time(11)), by=None, now=NOON)


def test_a_late_return_stands_and_the_next_promise_too():
    old = away(machine=factories.Machine())
    later = factories.Booking(
        machine=old.machine, first_day=old.last_day + DAY, last_day=old.last_day + 2 * DAY
    )
    check_in(old, WalkRound(), by=None, now=NOON + 3 * DAY)
    old.refresh_from_db()
    assert (old.last_day, old.ends_at) == (later.first_day, later.starts_at)


def test_out_early_it_is_taken_from_then_on():
    booking = factories.Booking(first_day=TODAY + 2 * DAY, last_day=TODAY + 4 * DAY)
    check_out(booking, WalkRound(), by=None, now=NOON)
    with pytest.raises(Refusal, match="is booked for"):
        book(wish(booking.machine, TODAY + DAY, TODAY + DAY), by=None, now=NOON)


def test_another_yard_has_other_moments_and_bookings_that_touch_still_touch():
    machine = factories.Machine()
    days = [TODAY + n * DAY for n in range(1, 9)]  # with the hour of 8 Mar that Denver skips
    for day in days:
        factories.Booking(machine=machine, first_day=day, last_day=day)
    yard = factories.Yard(time_zone="America/Denver")
    move_machine(machine, yard, reason="", by=factories.Person(), now=NOON)
    rows = list(Booking.objects.order_by("starts_at"))
    midnights = [datetime.combine(day, time(), ZoneInfo("America/Denver")) for day in days]
    assert [row.starts_at for row in rows] == midnights
    assert [row.ends_at for row in rows[:-1]] == midnights[1:]


@pytest.mark.parametrize("year", [1, 9999])
def test_a_year_that_nobody_means_is_refused(year):
    day = date(year, 12, 31)
    with pytest.raises(Refusal, match="ten years away"):
        book(wish(factories.Machine(), day, day), by=None, now=NOON)
    booking = factories.Booking()
    with pytest.raises(Refusal):
        move_last_day(booking, day, reason="", by=None, now=NOON)


class TestTheDatabaseItself:
    def test_refuses_a_row_that_meets_another(self):
        booking = factories.Booking()
        with pytest.raises(IntegrityError, match=NAME), transaction.atomic():
            factories.Booking(machine=booking.machine, first_day=date(2026, 3, 8))

    def test_refuses_a_row_that_is_moved_or_called_back_in(self):
        booking = factories.Booking()
        other = factories.Booking(machine=booking.machine, cancelled_at=NOON)
        third = factories.Booking()
        rows = Booking.objects.all()
        with pytest.raises(IntegrityError, match=NAME), transaction.atomic():
            rows.filter(pk=other.pk).update(cancelled_at=None)
        with pytest.raises(IntegrityError, match=NAME), transaction.atomic():
            rows.filter(pk=third.pk).update(machine=booking.machine)

    def test_lets_what_touches_or_was_called_off_stand(self):
        booking = factories.Booking()
        after = booking.last_day + DAY
        factories.Booking(machine=booking.machine, first_day=after, last_day=after)
        call_off(booking, by=None, now=NOON)
        factories.Booking(machine=booking.machine)

    def test_is_given_a_sentence(self):
        booking = factories.Booking()
        with pytest.raises(Refusal, match="a moment ago"), never_twice(booking.machine):
            factories.Booking(machine=booking.machine)

    @pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL has a constraint")
    def test_its_triggers_come_back_with_the_next_migrate(self):
        def there():
            with connection.cursor() as cursor:
                cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
                return {name for (name,) in cursor.fetchall()}

        assert set(WHENS) <= there()
        with connection.cursor() as cursor:
            for name in WHENS:
                cursor.execute(f"DROP TRIGGER {name}")
        call_command("migrate", verbosity=0)
        assert set(WHENS) <= there()
