"""The calendar's lines: one bar a booking, and every other day as the counter answers it."""

from datetime import time, timedelta

import pytest

from fleet.actions.hand_over import WalkRound, check_in, check_out
from scheduling.availability.counter_facts import Days
from scheduling.availability.three_answers import Answer
from scheduling.models import Block, State
from scheduling.queries.calendar_bookings import calendar_bookings
from scheduling.queries.calendar_grid import calendar_lines
from scheduling.queries.may_go_out import standings, which_may
from tests import consequences, factories
from tests.factories import NOON, TODAY

FOUR_WEEKS = Days(TODAY, TODAY + timedelta(days=27))
MAY, AFTER, NOT = Answer.MAY, Answer.AFTER_WORK, Answer.MAY_NOT
Kind = Block.Kind


def day(number):
    return TODAY + timedelta(days=number)


@pytest.fixture
def machine(db):
    return clear()


def clear(**more):
    machine = factories.Machine(**more)
    consequences.MachineState(machine=machine)
    return machine


def booked(machine, first, last, out=None, back=None):
    row = factories.Booking(machine=machine, first_day=day(first), last_day=day(last))
    if out is not None:
        check_out(row, WalkRound(), by=None, now=NOON + timedelta(days=out))
    if back is not None:
        check_in(row, WalkRound(), by=None, now=NOON + timedelta(days=back))
    return row


def planned(machine, on, **facts):
    """Plan the service of a due point for a day."""
    point = consequences.DuePoint(machine=machine, **facts)
    job = consequences.PlannedJob(machine=machine, day=day(on))
    consequences.PlannedWork(job=job, service=point.service, due_point=point)
    return point


def line(machine, days=FOUR_WEEKS):
    (found,) = calendar_lines([machine], days, TODAY)
    return found


def bars(machine, days=FOUR_WEEKS):
    cells = [cell for cell in line(machine, days).cells if cell.booking]
    return [
        (cell.booking.look, (cell.first - TODAY).days, (cell.last - TODAY).days) for cell in cells
    ]


def answered(machine):
    return [(cell.kind, cell.span) for cell in line(machine).cells]


LIVES = [
    ((2, 6), [("booked", 2, 6)]),
    ((-3, 2), [("booked", 0, 2)]),
    ((20, 40), [("booked", 20, 27)]),
    ((0, 4, 0), [("out", 0, 4)]),
    # an early check-out starts its bar, a late one runs on until today, an early return ends it
    ((3, 6, -1), [("out", 0, 6)]),
    ((-6, -2, -6), [("late", 0, 0)]),
    ((-3, 6, -3, 0), [("back", 0, 0)]),
    ((28, 30), []),
]


@pytest.mark.parametrize(("life", "expected"), LIVES)
def test_one_booking_is_one_bar(machine, life, expected):
    booked(machine, *life)
    assert bars(machine) == expected


def test_the_weeks_before_show_when_it_really_went_and_came_back(machine):
    booked(machine, -5, 3, out=-6, back=-2)
    assert bars(machine, Days(day(-14), day(13))) == [("back", -6, -2)]


def test_whatever_stands_across_a_booking_its_bar_is_whole(machine):
    booked(machine, 2, 9)
    consequences.Block(machine=machine, kind=Kind.HOLD, hard=True, due_point=None)
    consequences.Block(machine=machine, kind=Kind.IN_SHOP, first_day=day(4), last_day=day(4))
    assert bars(machine) == [("booked", 2, 9)]
    (cell,) = [one for one in line(machine).cells if one.booking]
    assert cell.block.words == "held"


def test_called_off_is_free(machine):
    factories.Booking(machine=machine, cancelled_at=NOON)
    assert answered(machine) == [(MAY, 28)]


def test_a_block_ends_with_its_shop_day_and_is_free_when_done(machine):
    point = planned(machine, 2, state=State.OVERDUE, p50=TODAY)
    consequences.Block(machine=machine, due_point=point)
    consequences.Block(machine=machine, kind=Kind.IN_SHOP, first_day=day(2), last_day=day(2))
    assert answered(machine) == [(NOT, 2), (NOT, 1), (AFTER, 25)]
    blocked, shop, after = line(machine).cells
    assert (blocked.block.words, blocked.block.state) == ("overdue", "overdue")
    assert shop.shop.words == "shop"
    assert after.after.words == "free when done"
    assert "planned for Wed 4 Mar" in after.after.sentence


def test_work_to_come_without_a_shop_day_is_to_be_planned(machine):
    consequences.DuePoint(machine=machine, p50=day(5))
    assert answered(machine) == [(MAY, 5), (NOT, 4), (AFTER, 19)]
    assert line(machine).cells[-1].after.words == "to be planned"


def test_a_held_machine_is_not_free_at_any_time(machine):
    consequences.Block(machine=machine, kind=Kind.HOLD, hard=True, due_point=None)
    assert answered(machine) == [(NOT, 28)]


def test_days_that_are_past_say_nothing(machine):
    consequences.Block(machine=machine, kind=Kind.HOLD, hard=True, due_point=None)
    past, coming = line(machine, Days(day(-7), day(6))).cells
    assert (past.kind, past.span, past.free) == (None, 7, True)
    assert (coming.kind, coming.span) == (NOT, 7)


def small_fleet(makeup):
    """Return machines in each way to stand in a yard."""
    yard = factories.Yard()

    def one():
        return clear(makeup=makeup, yard=yard)

    free, held, overdue, limit, to_come, promised, out, late, back, early = (
        one() for _ in range(10)
    )
    new = factories.Machine(makeup=makeup, yard=yard)
    consequences.Block(machine=held, kind=Kind.HOLD, hard=True, due_point=None)
    point = planned(overdue, 2, state=State.OVERDUE, p50=TODAY)
    consequences.Block(machine=overdue, due_point=point)
    consequences.Block(machine=overdue, kind=Kind.IN_SHOP, first_day=day(2), last_day=day(2))
    consequences.Block(machine=limit, kind=Kind.LIMIT, hard=True, first_day=day(9))
    consequences.DuePoint(machine=to_come, p10=day(3), p50=day(15))
    booked(promised, 3, 8)
    booked(promised, 9, 12)
    booked(out, -2, 5, out=-2)
    booked(late, -6, -2, out=-6)
    booked(back, -3, 6, out=-3, back=0)
    booked(early, 1, 3, out=-1)
    planned(early, 10, p50=day(12))
    return [free, held, overdue, limit, to_come, promised, out, late, back, early, new]


def test_each_cell_is_what_the_counter_answers_for_that_machine_and_day(db):
    makeup = factories.MakeUp()
    fleet = small_fleet(makeup)
    lines = {one.machine.pk: one for one in calendar_lines(fleet, FOUR_WEEKS, TODAY)}
    seen = set()
    for number in range(28):
        each = day(number)
        said = which_may(makeup.machine_class, Days(each, each), TODAY)
        assert len(said) == len(fleet)
        for one in said:
            (cell,) = [
                cell for cell in lines[one.machine.pk].cells if cell.first <= each <= cell.last
            ]
            assert cell.kind == one.kind, (one.machine, each, one.sentence)
            seen.add((cell.kind, cell.booking is not None))
            if not cell.booking:
                assert cell.free == one.yes
                assert (cell.after is not None) == one.after_work
    assert seen == {(MAY, False), (AFTER, False), (NOT, False), (NOT, True), (MAY, True)}


def test_a_promise_behind_the_days_stands_against_a_booking_that_reaches_it(machine):
    """What goes on behind the days that are shown is asked to its end, by a query more."""
    out = booked(machine, 0, 4, out=0)
    later = booked(machine, 30, 32)
    type(out).objects.filter(pk=out.pk).update(last_day=day(31))
    days = Days(TODAY, day(6))
    (known,) = standings([machine], TODAY, until=day(31))
    read = calendar_bookings([machine.pk], days, TODAY, None)
    assert {row.pk for row in read.promised[machine.pk]} == {out.pk, later.pk}
    assert {row.pk for row in read.shown[machine.pk]} == {out.pk}
    assert {one.booking.pk for one in known.promises} == {out.pk, later.pk}


def test_hours_are_told_with_the_booking(machine):
    hours = {"from_time": time(8), "to_time": time(12)}
    factories.Booking(machine=machine, first_day=day(2), last_day=day(2), **hours)
    factories.Booking(machine=machine, first_day=day(4), last_day=day(6), to_time=time(9))
    said = [one.sentence for one in line(machine).entries]
    assert said == ["booked 08:00 to 12:00", "booked back by 09:00"]


@pytest.mark.parametrize("machines", [5, 25])
def test_seven_queries_however_many_machines(db, machines, django_assert_num_queries):
    fleet = [clear() for _ in range(machines)]
    for one in fleet:
        factories.Booking(machine=one)
        planned(one, 3, p50=day(9))
        consequences.Block(machine=one)
    fleet = list(
        type(fleet[0]).objects.select_related("now", "makeup__machine_class", "yard__shop")
    )
    with django_assert_num_queries(7):
        assert len(calendar_lines(fleet, FOUR_WEEKS, TODAY)) == machines
