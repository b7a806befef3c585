"""The answer: yes or no, why, until when, which instead; and which machine is the best choice."""

from dataclasses import replace

from fleet.models import Yard
from scheduling.availability.answer import answer, best_first, first_that_may
from scheduling.availability.counter_facts import Days, StandingBooking
from scheduling.models import Block
from tests.factories import TODAY
from tests.scheduling.availability.known import (
    DAYS,
    SHOP,
    block,
    booking,
    day,
    machine,
    point,
    standing,
)

Kind = Block.Kind


def said(days=DAYS, **facts):
    return answer(standing(**facts), days, TODAY)


def test_yes_in_a_sentence():
    assert said().sentence == "Q-01 may go out from Thu 5 Mar to Sun 8 Mar."
    assert said(Days(TODAY, TODAY)).sentence == "Q-01 may go out today."


def test_no_says_why_until_when_and_which_instead():
    no = said(blocks=[block(Kind.OVERDUE, due_point_id=5)], planned={5: day(4)})
    no = replace(no, instead=machine(2))
    assert no.sentence == (
        "Q-01 may not go out from Thu 5 Mar to Sun 8 Mar: Oil service overdue by 12 h."
        " Until the work is done, planned for Fri 6 Mar, in 4 days."
        " Q-02 of the same class may go instead."
    )


def test_no_says_by_when_it_must_be_back():
    no = said(due_points=[point(p50=day(5))])
    assert "It may go if it is back by Fri 6 Mar." in no.sentence


def test_until_is_the_last_of_all_causes_and_unknown_if_one_is():
    promised = StandingBooking(booking(3, 4))
    known = {"promises": [promised], "blocks": [block(Kind.OVERDUE, due_point_id=5)]}
    assert said(**known).until is None
    assert said(**known, planned={5: day(9)}).until == day(9)


def test_a_hold_and_a_limit_are_hard_a_promise_is_final_only():
    assert said(blocks=[block(Kind.HOLD)]).hard
    assert said(Days(TODAY, day(3)), blocks=[block(Kind.LIMIT)]).hard
    promised = said(promises=[StandingBooking(booking(3, 4))])
    assert promised.final
    assert not promised.hard


def test_work_planned_before_it_goes_out_needs_no_reason():
    known = {"due_points": [point(pk=5, p50=day(4))]}
    assert said(**known).needs_reason
    assert not said(**known, planned={5: day(2)}).needs_reason
    assert said(**known, planned={5: day(3)}).needs_reason


def test_more_than_two_reasons_are_counted():
    points = [point(pk=n, p50=day(4)) for n in range(4)]
    no = said(due_points=points)
    assert no.why.endswith("and 2 more reasons")
    assert len(no.told) == len(no.untold) == 2


def ranked(*known):
    return [one.machine.tag for one in best_first(answer(k, DAYS, TODAY) for k in known)]


def test_the_one_with_most_hours_left_stands_first_and_the_doubtful_after_the_sure():
    def left(pk, hours, **more):
        p = point(remaining=hours, meter_kind="hours", **more)
        return standing(machine=machine(pk), due_points=[p])

    little, much, doubtful = left(1, 20.0), left(2, 80.0), left(3, 90.0, p10=day(4))
    held = standing(machine=machine(4), blocks=[block(Kind.HOLD)])
    overdue = standing(machine=machine(5), blocks=[block(Kind.OVERDUE)])
    assert ranked(held, overdue, doubtful, little, much) == ["Q-02", "Q-01", "Q-03", "Q-05", "Q-04"]


def test_among_those_that_may_not_the_soonest_free_stands_first():
    def busy(pk, last):
        return standing(machine=machine(pk), promises=[StandingBooking(booking(3, last))])

    assert ranked(busy(1, 9), busy(2, 4), busy(3, 6)) == ["Q-02", "Q-03", "Q-01"]


def test_machines_of_the_same_yard_come_before_those_of_others():
    away, here = machine(1), machine(2)
    away.yard = Yard(pk=9, name="Far yard", shop=SHOP)
    answers = [answer(standing(machine=m), DAYS, TODAY) for m in (away, here)]
    assert best_first(answers, near=1)[0].machine is here


def test_no_machine_stands_in_for_itself():
    yes = said()
    assert first_that_may([yes], yes.machine) is None
    assert first_that_may([yes], machine(2)) is yes.machine
