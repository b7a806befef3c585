"""Booking, prolonging and letting out, with the blocks asked again inside the transaction."""

from datetime import date, timedelta

import pytest

from fleet.actions.hand_over import WALK_ROUND, WalkRound, check_in
from fleet.actions.make_bookings import NewBooking
from fleet.models import Booking, HandOver, Override, Role
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import (
    Decision,
    book_unless_blocked,
    check_out_unless_blocked,
    prolong_unless_blocked,
)
from scheduling.models import Block
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.let_before import let_before

pytestmark = pytest.mark.django_db
FIRST, LAST = date(2026, 3, 5), date(2026, 3, 8)
FINE = WalkRound(dict.fromkeys(WALK_ROUND, True))


@pytest.fixture
def desk():
    return factories.Person(role=Role.DESK)


@pytest.fixture
def decide(desk):
    return lambda reason="", now=NOON: Decision(desk, now, reason)


@pytest.fixture
def machine():
    """A machine with a service far from due, read a moment ago, so that its state is known."""
    machine = let_before(20.0, read_ago=timedelta(hours=1))
    consequences.MachineState(machine=machine)
    return machine


def wanted(machine, **more):
    facts = {"first_day": FIRST, "last_day": LAST, "customer": "Alder Creek", "form_key": "k1"}
    return NewBooking(machine, **(facts | more))


def block(machine, kind=Block.Kind.OVERDUE, **more):
    return consequences.Block(machine=machine, kind=kind, due_point=None, **more)


class TestPromise:
    def test_a_clear_machine_is_booked_once(self, machine, decide):
        first = book_unless_blocked(wanted(machine), decide())
        again = book_unless_blocked(wanted(machine), decide())
        assert first == again
        assert Booking.objects.filter(first_day=FIRST).count() == 1

    def test_a_second_counter_is_refused_and_told_which_machine_instead(self, machine, decide):
        other = factories.Machine(makeup=machine.makeup, yard=machine.yard)
        consequences.MachineState(machine=other)
        book_unless_blocked(wanted(machine), decide())
        with pytest.raises(Refusal, match=f"{other.tag} of the same class") as no:
            book_unless_blocked(wanted(machine, form_key="k2"), decide())
        assert no.value.field == "first_day"

    def test_against_a_soft_block_a_reason_is_asked_for_and_kept(self, machine, decide, desk):
        block(machine)
        with pytest.raises(Refusal, match="why it goes out anyway") as no:
            book_unless_blocked(wanted(machine), decide())
        assert no.value.field == "reason"
        booking = book_unless_blocked(wanted(machine), decide("they have their own mechanic"))
        row = booking.overrides.get()
        assert (row.by, row.reason) == (desk, "they have their own mechanic")
        assert "overdue" in row.against

    def test_sent_twice_the_override_is_kept_once(self, machine, decide):
        block(machine)
        for _ in range(2):
            book_unless_blocked(wanted(machine), decide("they have their own mechanic"))
        assert Override.objects.count() == 1

    @pytest.mark.parametrize("kind", [Block.Kind.HOLD, Block.Kind.LIMIT])
    def test_no_reason_is_good_enough_against_a_hard_block(self, machine, decide, kind):
        block(machine, kind, hard=True)
        first = FIRST if kind == Block.Kind.HOLD else TODAY
        with pytest.raises(Refusal, match="may not go out"):
            book_unless_blocked(
                wanted(machine, first_day=first), decide("the customer insists very much")
            )
        assert not Booking.objects.filter(first_day=first).exists()
        assert not Override.objects.exists()

    def test_a_hard_limit_waits_for_its_inspection_and_needs_no_reason(self, machine, decide):
        block(machine, Block.Kind.LIMIT, hard=True)
        booking = book_unless_blocked(wanted(machine), decide())
        assert not booking.overrides.exists()

    def test_too_short_a_reason_books_nothing(self, machine, decide):
        block(machine)
        with pytest.raises(Refusal, match="few words"):
            book_unless_blocked(wanted(machine), decide("ok"))
        assert not Booking.objects.filter(first_day=FIRST).exists()

    @pytest.mark.parametrize(
        ("days", "field"),
        [
            ({"first_day": TODAY - timedelta(days=1)}, "first_day"),
            ({"last_day": FIRST - timedelta(days=1)}, "last_day"),
        ],
    )
    def test_days_that_cannot_be_are_refused_at_their_field(self, machine, decide, days, field):
        with pytest.raises(Refusal) as no:
            book_unless_blocked(wanted(machine, **days), decide())
        assert no.value.field == field


class TestProlong:
    @pytest.fixture
    def booking(self, machine):
        return factories.Booking(machine=machine)

    def test_a_later_day_is_asked_of_the_blocks(self, booking, decide):
        block(booking.machine, first_day=LAST + timedelta(days=1))
        with pytest.raises(Refusal, match="overdue") as no:
            prolong_unless_blocked(booking, LAST + timedelta(days=2), decide())
        assert no.value.field == "reason"
        prolong_unless_blocked(
            booking, LAST + timedelta(days=2), decide("back for service on Tuesday")
        )
        assert booking.overrides.count() == 1

    def test_a_hard_limit_ends_it(self, booking, decide):
        booking.first_day = TODAY
        booking.save()
        limit = LAST + timedelta(days=1)
        block(booking.machine, Block.Kind.LIMIT, hard=True, first_day=limit)
        with pytest.raises(Refusal, match="back by Sun 8 Mar"):
            prolong_unless_blocked(booking, limit, decide("the customer insists"))
        booking.refresh_from_db()
        assert booking.last_day == LAST

    def test_one_that_has_not_begun_can_wait_for_the_inspection(self, booking, decide):
        limit = LAST + timedelta(days=1)
        block(booking.machine, Block.Kind.LIMIT, hard=True, first_day=limit)
        assert prolong_unless_blocked(booking, limit, decide()).last_day == limit

    def test_a_shorter_one_is_not_asked(self, booking, decide):
        block(booking.machine)
        assert prolong_unless_blocked(booking, FIRST, decide()).last_day == FIRST

    def test_neither_the_past_nor_the_time_before_it_began(self, booking, decide):
        with pytest.raises(Refusal, match="before today or the first day"):
            prolong_unless_blocked(booking, FIRST - timedelta(days=1), decide())

    def test_a_booking_that_is_over_stays_as_it_was(self, booking, decide):
        booking.cancelled_at = NOON
        booking.save()
        with pytest.raises(Refusal, match="called off"):
            prolong_unless_blocked(booking, LAST + timedelta(days=1), decide())


class TestLetOut:
    @pytest.fixture
    def booking(self, machine):
        return factories.Booking(machine=machine, first_day=TODAY, last_day=LAST)

    def test_a_clear_machine_goes_out_once(self, booking, decide):
        first = check_out_unless_blocked(booking, FINE, decide())
        assert first == check_out_unless_blocked(booking, FINE, decide())
        assert HandOver.objects.count() == 1

    def test_an_overdue_one_needs_a_reason_with_a_name(self, booking, decide, desk):
        """20 h on the meter and a service that was due at 10 h: overdue by the facts."""
        factories.Interval(makeup=booking.machine.makeup, every=10.0, late=1.0)
        with pytest.raises(Refusal, match="overdue") as no:
            check_out_unless_blocked(booking, FINE, decide())
        assert no.value.field == "reason"
        check_out_unless_blocked(booking, FINE, decide("goes to our own ranch, serviced there"))
        assert booking.overrides.get().by == desk

    def test_past_a_hard_limit_nobody_lets_it_out(self, booking, decide):
        factories.Interval(makeup=booking.machine.makeup, every=10.0, late=1.0, hard=True)
        with pytest.raises(Refusal, match="hard limit"):
            check_out_unless_blocked(booking, FINE, decide("the customer insists very much"))
        assert not HandOver.objects.exists()
        assert not Override.objects.exists()

    def test_a_hold_of_a_moment_ago_counts_before_its_block_is_written(self, booking, decide):
        factories.Hold(machine=booking.machine)
        Block.objects.all().delete()
        with pytest.raises(Refusal, match="is held"):
            check_out_unless_blocked(booking, FINE, decide("the customer insists very much"))

    def test_a_fault_of_the_walk_round_needs_a_reason(self, booking, decide):
        seen = WalkRound({**FINE.points, WALK_ROUND[2]: False})
        with pytest.raises(Refusal, match="Not in order: Lights"):
            check_out_unless_blocked(booking, seen, decide())
        assert not HandOver.objects.exists()
        check_out_unless_blocked(booking, seen, decide("used by day only, customer told"))
        assert "Lights" in booking.overrides.get().against

    def test_a_booking_that_ended_must_be_prolonged_first(self, booking, decide):
        with pytest.raises(Refusal, match="move its last day"):
            check_out_unless_blocked(booking, FINE, decide(now=NOON + timedelta(days=9)))

    def test_a_machine_that_is_back_does_not_go_out_on_the_same_booking(self, booking, decide):
        out = check_out_unless_blocked(booking, FINE, decide())
        check_in(booking, FINE, by=None, now=NOON)
        assert check_out_unless_blocked(booking, FINE, decide()) == out
