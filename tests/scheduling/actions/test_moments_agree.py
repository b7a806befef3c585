"""What the counter says of a promise, and what the database takes, is one and the same."""

import random
from datetime import date, time, timedelta

import pytest

from fleet.actions.hand_over import WalkRound, check_in, check_out
from fleet.actions.make_bookings import NewBooking, call_off, promise
from fleet.models import Booking, HandOver, Role
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import (
    Decision,
    book_unless_blocked,
    check_out_unless_blocked,
    prolong_unless_blocked,
)
from scheduling.availability.counter_facts import Days, left_of
from scheduling.availability.objections import Cause
from scheduling.queries.calendar_grid import calendar_lines
from scheduling.queries.counter_day import counter_day
from scheduling.queries.may_go_out import may_go_between
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.let_before import let_before

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)
TOMORROW = TODAY + DAY
PROMISES = (Cause.PROMISED, Cause.OUT)


@pytest.fixture
def machine():
    found = let_before(20.0, read_ago=HOUR)
    consequences.MachineState(machine=found)
    return found


@pytest.fixture
def decide():
    desk = factories.Person(role=Role.DESK)
    return lambda now=NOON: Decision(desk, now)


def wish(machine, first=TOMORROW, last=TOMORROW, start=None, end=None, **more):
    return NewBooking(
        machine, first, last, "Alder Creek", from_time=start, to_time=end, **more
    )  # fmt: skip


def asked(new, now):
    return Days(new.first_day, new.last_day, now=now, from_time=new.from_time, to_time=new.to_time)


def promised(machine, days, today=TODAY):
    answer = may_go_between(machine, days, today)
    return any(one.cause in PROMISES for one in answer.objections)


class TestHalfDays:
    def test_two_customers_share_a_day_and_both_go_out_and_come_back(self, machine, decide):
        morning = book_unless_blocked(wish(machine, start=time(8), end=time(12)), decide())
        noon = book_unless_blocked(wish(machine, start=time(12), end=time(17)), decide())
        at = NOON + DAY - 4 * HOUR  # the yard keeps UTC
        check_out_unless_blocked(morning, WalkRound(), decide(at))
        check_in(morning, WalkRound(), by=None, now=at + 3 * HOUR)
        check_out_unless_blocked(noon, WalkRound(), decide(at + 4 * HOUR))
        assert HandOver.objects.filter(direction="out").count() == 2

    def test_the_counter_says_which_half_is_free(self, machine, decide):
        book_unless_blocked(wish(machine, start=time(8), end=time(12)), decide())
        whole = may_go_between(machine, Days(TOMORROW, TOMORROW, now=NOON), TODAY)
        assert "booked for Alder Creek on Tue 3 Mar, 08:00 to 12:00" in whole.sentence
        half = Days(TOMORROW, TOMORROW, now=NOON, from_time=time(12))
        assert may_go_between(machine, half, TODAY).yes
        assert half.said(TODAY) == "on Tue 3 Mar, 12:00 to the evening"

    def test_the_first_goes_out_though_the_second_stands_behind_it(self, machine, decide):
        morning = book_unless_blocked(wish(machine, start=time(8), end=time(12)), decide())
        book_unless_blocked(wish(machine, start=time(12)), decide())
        (line,) = counter_day([machine.yard.shop], TOMORROW, NOON + DAY - 4 * HOUR).going_out[:1]
        assert (line.booking, line.answer.yes) == (morning, True)

    def test_one_whose_time_is_past_is_not_let_out_any_more(self, machine, decide):
        morning = book_unless_blocked(wish(machine, start=time(8), end=time(12)), decide())
        with pytest.raises(Refusal, match="ended at 12:00"):
            check_out_unless_blocked(morning, WalkRound(), decide(NOON + DAY))

    def test_it_is_prolonged_up_to_the_time_of_the_next(self, machine, decide):
        first = book_unless_blocked(wish(machine, end=time(12)), decide())
        next_day = TOMORROW + DAY
        book_unless_blocked(wish(machine, next_day, next_day, start=time(12)), decide())
        prolong_unless_blocked(first, next_day, decide())
        with pytest.raises(Refusal, match="booked for"):
            prolong_unless_blocked(first, next_day + DAY, decide())

    def test_back_late_by_an_hour_it_is_still_out_and_shown_so(self, machine, decide):
        morning = factories.Booking(
            machine=machine, first_day=TODAY, last_day=TODAY, to_time=time(11)
        )
        check_out(morning, WalkRound(), by=None, now=NOON - 3 * HOUR)
        after = Days(TODAY, TODAY, now=NOON, from_time=time(13))
        assert [one.cause for one in may_go_between(machine, after, TODAY).objections] == [
            Cause.OUT
        ]
        day = counter_day([machine.yard.shop], TODAY, NOON)
        assert (day.late, day.coming_back) == ([morning], [])

    def test_while_it_is_made_ready_it_says_until_when(self, decide):
        machine = factories.Machine(makeup__machine_class__turn_round_minutes=90)
        consequences.MachineState(machine=machine)
        old = factories.Booking(machine=machine, first_day=TODAY, last_day=TODAY)
        check_out(old, WalkRound(), by=None, now=NOON - HOUR)
        check_in(old, WalkRound(), by=None, now=NOON)
        said = may_go_between(machine, Days(TODAY, TODAY, now=NOON), TODAY)
        assert "it is back from Alder Creek fencing and made ready until 13:30" in said.sentence
        with pytest.raises(Refusal, match="made ready"):
            book_unless_blocked(wish(machine, TODAY, TODAY), decide())
        late = NOON + 1.5 * HOUR
        assert book_unless_blocked(wish(machine, TODAY, TODAY), decide(late))

    def test_the_calendar_shows_both(self, machine):
        for name, start, end in (("Alder", 8, 12), ("Birch", 12, 17)):
            factories.Booking(
                machine=machine, customer=name, first_day=TOMORROW, last_day=TOMORROW,
                from_time=time(start), to_time=time(end),
            )  # fmt: skip
        (line,) = calendar_lines([machine], Days(TODAY, TODAY + 6 * DAY), TODAY, NOON)
        assert [one.words for one in line.entries] == ["Alder", "Birch"]


def histories(seed, machine):
    """Book, call off, let out and take back at random; return the moment at which it ends."""
    say, now = random.Random(seed), NOON
    for _ in range(14):
        now += timedelta(minutes=say.randrange(20, 400))
        open_ = list(Booking.objects.filter(machine=machine, cancelled_at=None))
        try:
            act = say.random()
            if act < 0.5 or not open_:
                promise(some(say, machine, now), by=None, now=now)
            elif act < 0.6:
                call_off(say.choice(open_), by=None, now=now)
            elif act < 0.85:
                check_out(say.choice(open_), WalkRound(), by=None, now=now)
            else:
                check_in(say.choice(open_), WalkRound(), by=None, now=now)
        except Refusal:
            continue
    return say, now


def some(say, machine, now):
    first = now.date() + say.randrange(7) * DAY
    times = [None, time(8), time(10, 30), time(12), time(17), time(23)]
    start = say.choice(times)
    last = first + say.randrange(2) * DAY
    later = [one for one in times if one is None or last > first or one > (start or time())]
    return wish(machine, first, last, start, say.choice(later))


@pytest.mark.parametrize("minutes", [0, 90])
@pytest.mark.parametrize("seed", range(6))
def test_a_promise_stands_against_it_where_the_database_refuses_and_nowhere_else(seed, minutes):
    zone = ["UTC", "America/Denver", "Australia/Lord_Howe"][seed % 3]
    machine = factories.Machine(
        yard__time_zone=zone, makeup__machine_class__turn_round_minutes=minutes
    )
    say, now = histories(seed, machine)
    seen = set()
    for _ in range(30):
        new = some(say, machine, now)
        today = now.astimezone(machine.yard.zone).date()
        if new.first_day < today:
            continue
        answer = may_go_between(machine, asked(new, now), today)
        causes = {one.cause for one in answer.objections} & set(PROMISES)
        late = causes == {Cause.OUT}  # not back in time: the database knows no such thing
        try:
            made = promise(new, by=None, now=now)
        except Refusal:
            made = None
        seen.add(made is None)
        if made:
            call_off(made, by=None, now=now)
        assert late or bool(causes) == (made is None), (new, now)
    assert seen == {True, False}


def test_left_of_a_promise_begins_now_and_ends_with_it(machine):
    booking = factories.Booking(
        machine=machine, first_day=date(2026, 3, 1), last_day=TOMORROW, to_time=time(12)
    )
    days = left_of(booking, TODAY, NOON)
    assert (days.first, days.last) == (TODAY, TOMORROW)
    assert days.span == (NOON, NOON + DAY)
