"""What stands against going out, cause by cause, on objects that were never saved."""

import pytest

from scheduling.availability.counter_facts import Days, StandingBooking
from scheduling.availability.objections import Cause, objections
from scheduling.availability.refusal_words import say_objection
from scheduling.models import Block, MachineState, State
from tests.factories import TODAY
from tests.scheduling.availability.known import (
    DAYS,
    block,
    booking,
    day,
    machine,
    point,
    service,
    standing,
)

Kind = Block.Kind
NOT_KNOWN = MachineState(state=State.UNKNOWN, missing="no reading of its hour meter yet")


def causes(known, days=DAYS):
    return [one.cause for one in objections(known, days, TODAY)]


RULES = [
    # nothing stands against a clear machine
    ({}, []),
    # promised on any of the days; the day before and the day after are free
    ({"promises": [StandingBooking(booking(0, 3))]}, [Cause.PROMISED]),
    ({"promises": [StandingBooking(booking(6, 9))]}, [Cause.PROMISED]),
    ({"promises": [StandingBooking(booking(0, 2))]}, []),
    ({"promises": [StandingBooking(booking(7, 9))]}, []),
    # out now and back before: no objection to later days
    ({"promises": [StandingBooking(booking(-3, 2), is_out=True)]}, []),
    # held, whenever
    ({"blocks": [block(Kind.HOLD, -5)]}, [Cause.HELD]),
    # a hard limit that is reached while away, and one that is reached after
    ({"blocks": [block(Kind.LIMIT, 6, hard=True)]}, [Cause.LIMIT]),
    ({"blocks": [block(Kind.LIMIT, 7, hard=True)]}, []),
    # overdue, and standing too long
    ({"blocks": [block(Kind.OVERDUE)]}, [Cause.OVERDUE]),
    ({"blocks": [block(Kind.IDLE)]}, [Cause.IDLE]),
    # most likely due while away, on the last day, after it
    ({"due_points": [point(p50=day(4))]}, [Cause.DUE]),
    ({"due_points": [point(p50=day(6))]}, [Cause.DUE]),
    ({"due_points": [point(p50=day(7), p10=day(4))]}, []),
    # due already, though no day is forecast
    ({"due_points": [point(state=State.DUE)]}, [Cause.DUE]),
    # a service that does not keep a machine from going out
    ({"due_points": [point(p50=day(4), service=service(blocks_rental=False))]}, []),
    # a hard line without a block: by the calendar, by the early day on the meter
    ({"due_points": [point(hard=True, closes_day=day(5))]}, [Cause.LIMIT]),
    ({"due_points": [point(hard=True, closes_day=day(6))]}, []),
    ({"due_points": [point(hard=True, p10=day(6), p50=day(20))]}, [Cause.LIMIT]),
    # in the shop today or on a frozen day, and later when the plan gives way
    ({"blocks": [block(Kind.IN_SHOP, 3, 3)], "frozen_days": 3}, [Cause.SHOP]),
    ({"blocks": [block(Kind.IN_SHOP, 3, 3)], "frozen_days": 1}, []),
    # a booking's own block says nothing that the due points do not say
    ({"blocks": [block(Kind.FALLS_DUE, 3, 6)]}, []),
    # nothing known of it, or not refreshed yet
    ({"state": NOT_KNOWN}, [Cause.UNKNOWN]),
    ({"state": None}, [Cause.UNKNOWN]),
    # retired before the last day
    ({"machine": machine(retired_on=day(6))}, [Cause.RETIRED]),
    ({"machine": machine(retired_on=day(9))}, []),
]


@pytest.mark.parametrize(("facts", "expected"), RULES)
def test_the_rule_cause_by_cause(facts, expected):
    assert causes(standing(**facts)) == expected


def test_a_machine_still_out_past_its_day_is_not_there_today_but_may_be_later():
    late = standing(promises=[StandingBooking(booking(-5, -1), is_out=True)])
    assert causes(late, Days(TODAY, day(3))) == [Cause.OUT]
    assert causes(late) == []


def test_a_machine_that_left_before_its_first_day_is_not_there_today():
    early = standing(promises=[StandingBooking(booking(1, 3), is_out=True)])
    assert causes(early, Days(TODAY, TODAY)) == [Cause.PROMISED]


def test_a_block_speaks_for_its_due_point_once():
    known = standing(
        blocks=[block(Kind.OVERDUE, due_point_id=5)],
        due_points=[point(pk=5, state=State.OVERDUE, p50=TODAY)],
    )
    assert causes(known) == [Cause.OVERDUE]


def test_a_hard_line_is_told_by_its_block_and_not_barred_before_it():
    """The block says that the limit lies after the last day; the early day alone must not bar."""
    known = standing(
        blocks=[block(Kind.LIMIT, 20, hard=True, due_point_id=5)],
        due_points=[point(pk=5, hard=True, p10=day(4), p50=day(15))],
    )
    assert causes(known) == []


def test_the_gravest_stands_first():
    known = standing(
        blocks=[block(Kind.OVERDUE), block(Kind.HOLD)], promises=[StandingBooking(booking(3, 4))]
    )
    assert causes(known) == [Cause.HELD, Cause.PROMISED, Cause.OVERDUE]


@pytest.mark.parametrize(
    ("facts", "final"),
    [
        ({"blocks": [block(Kind.HOLD)]}, True),
        ({"blocks": [block(Kind.LIMIT)]}, True),
        ({"blocks": [block(Kind.IDLE, hard=True)]}, True),
        ({"promises": [StandingBooking(booking(3, 4))]}, True),
        ({"blocks": [block(Kind.OVERDUE)]}, False),
        ({"due_points": [point(p50=day(4))]}, False),
        ({"state": None}, False),
    ],
)
def test_what_a_person_at_the_counter_can_go_against_today(facts, final):
    (one,) = objections(standing(**facts), Days(TODAY, day(4)), TODAY)
    assert one.final is final


def test_work_says_for_which_shop_day_it_is_planned():
    known = standing(due_points=[point(pk=5, p50=day(4))], planned={5: day(2)})
    (one,) = objections(known, DAYS, TODAY)
    assert one.until == day(2)
    assert one.settled_before(DAYS.first)
    assert not one.settled_before(day(2))


def test_it_says_by_when_it_must_be_back():
    (one,) = objections(standing(due_points=[point(p50=day(5))]), DAYS, TODAY)
    assert one.back_by == day(4)
    (one,) = objections(standing(due_points=[point(p50=day(3))]), DAYS, TODAY)
    assert one.back_by is None


def said(known):
    (one,) = objections(known, DAYS, TODAY)
    return say_objection(one, TODAY).words


def test_the_sentence_does_not_say_twice_that_it_may_not_go():
    assert said(standing(blocks=[block(Kind.OVERDUE)])) == "Oil service overdue by 12 h"


def test_how_far_it_is_overdue_is_counted_from_the_due_point_as_on_the_yard_page():
    late = point(remaining=-22.0, meter_kind="hours")  # 12 h past a window of 10 h
    assert said(standing(blocks=[block(Kind.OVERDUE, due_point=late)])) == (
        "Oil service overdue by 22 h"
    )


def test_what_only_a_look_at_the_meter_can_tell_says_so():
    doubtful = point(state=State.DUE, p50=TODAY, chance_due=0.7, remaining=4.0, meter_kind="hours")
    words = said(standing(due_points=[doubtful]))
    assert words == "Oil service may already be due: read the hour meter"
    known = point(state=State.DUE, p50=TODAY, chance_due=1.0, remaining=-4.0, meter_kind="hours")
    assert said(standing(due_points=[known])) == "Oil service is due now"
