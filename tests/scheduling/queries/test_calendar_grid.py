"""The calendar's lines: what stands on each machine, cut into cells that cover every day."""

from datetime import timedelta

import pytest

from fleet.actions.hand_over import WalkRound, check_in, check_out
from scheduling.availability.counter_facts import Days
from scheduling.models import Block
from scheduling.queries.calendar_grid import CalendarEntry, calendar_lines, cells
from tests import consequences, factories
from tests.factories import NOON, TODAY

FOUR_WEEKS = Days(TODAY, TODAY + timedelta(days=27))


def day(number):
    return TODAY + timedelta(days=number)


def entry(first, last, look="booked", words="Alder Creek"):
    url = "" if look in ("block", "shop") else "/b/"
    return CalendarEntry(Days(day(first), day(last)), look, words, "said", url)


def spans(entries):
    return [(one.span, bool(one.booking), bool(one.block)) for one in cells(entries, FOUR_WEEKS)]


CUTS = [
    ([], [(28, False, False)]),
    ([entry(0, 27)], [(28, True, False)]),
    ([entry(-5, 40)], [(28, True, False)]),
    ([entry(3, 4)], [(3, False, False), (2, True, False), (23, False, False)]),
    (
        [entry(3, 6), entry(5, 9, "block", "overdue")],
        [
            (3, False, False),
            (2, True, False),
            (2, True, True),
            (3, False, True),
            (18, False, False),
        ],
    ),
]


@pytest.mark.parametrize(("entries", "expected"), CUTS)
def test_cells_cover_all_days(entries, expected):
    assert spans(entries) == expected


def test_what_is_not_shown_does_not_cut():
    """A second block behind the gravest leaves the line whole."""
    both = [entry(0, 27, "block", "held"), entry(5, 6, "block", "overdue")]
    assert spans(both) == [(28, False, True)]


@pytest.fixture
def machine(db):
    return factories.Machine()


def line(machine):
    (found,) = calendar_lines([machine], FOUR_WEEKS, TODAY)
    return [(one.look, one.words) for one in found.entries]


def test_a_booking_is_booked_out_late_and_back(machine):
    booking = factories.Booking(machine=machine, first_day=day(-3), last_day=day(2))
    assert line(machine) == [("booked", booking.customer)]
    check_out(booking, WalkRound(), by=None, now=NOON)
    assert line(machine) == [("out", booking.customer)]
    check_in(booking, WalkRound(), by=None, now=NOON)
    assert line(machine) == [("back", booking.customer)]


def test_a_machine_past_its_day_stands_out_until_today(machine):
    booking = factories.Booking(machine=machine, first_day=day(-6), last_day=day(-2))
    check_out(booking, WalkRound(), by=None, now=NOON)
    (found,) = calendar_lines([machine], FOUR_WEEKS, TODAY)
    assert [(one.look, one.days.last) for one in found.entries] == [("late", TODAY)]


def test_bookings_called_off_or_of_other_weeks_are_left_away(machine):
    factories.Booking(machine=machine, cancelled_at=NOON)
    factories.Booking(machine=machine, first_day=day(28), last_day=day(30))
    assert line(machine) == []


def test_blocks_and_shop_days_carry_their_words(machine):
    consequences.Block(machine=machine)
    consequences.Block(
        machine=machine, kind=Block.Kind.IN_SHOP, first_day=day(2), last_day=day(2), due_point=None
    )
    assert line(machine) == [("block", "overdue"), ("shop", "shop")]


@pytest.mark.parametrize("machines", [5, 25])
def test_two_queries_however_many_machines(db, machines, django_assert_num_queries):
    fleet = factories.Machine.create_batch(machines)
    for one in fleet:
        factories.Booking(machine=one)
        consequences.Block(machine=one)
    with django_assert_num_queries(2):
        assert len(calendar_lines(fleet, FOUR_WEEKS, TODAY)) == machines
