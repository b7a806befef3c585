"""May, may after work, may not: near and at any distance."""

import pytest

from scheduling.availability.answer import answer, best_first
from scheduling.availability.counter_facts import Days, StandingBooking
from scheduling.availability.three_answers import Answer
from scheduling.models import Block, MachineState, State
from tests.factories import TODAY
from tests.scheduling.availability.known import block, booking, day, machine, point, standing

Kind = Block.Kind
MAY, AFTER, NOT = Answer.MAY, Answer.AFTER_WORK, Answer.MAY_NOT
NEAR, NEXT_MONTH, SPRING = Days(day(3), day(6)), Days(day(35), day(38)), Days(day(90), day(93))
OVERDUE = {"blocks": [block(Kind.OVERDUE, due_point_id=5)]}
LIMIT = {"blocks": [block(Kind.LIMIT, due_point_id=5, hard=True)]}
HARD_IDLE = {"blocks": [block(Kind.IDLE, due_point_id=5, hard=True)]}
HELD = {"blocks": [block(Kind.HOLD, hard=True)]}
TO_COME = {"due_points": [point(pk=5, p50=day(5))]}
LINE = {"due_points": [point(pk=5, hard=True, closes_day=day(5))]}
UNREAD = {"state": MachineState(state=State.UNKNOWN, missing="no reading of its hour meter yet")}
AWAY = {"promises": [StandingBooking(booking(0, 95))]}


def said(facts, days, **more):
    return answer(standing(**facts, **more), days, TODAY)


@pytest.mark.parametrize(
    ("facts", "today", "near", "far"),
    [
        ({}, MAY, MAY, MAY),
        (OVERDUE, NOT, NOT, AFTER),
        (TO_COME, MAY, NOT, AFTER),
        # a hard limit waits for its inspection as soon as there is a day for it
        (LIMIT, NOT, AFTER, AFTER),
        (LINE, MAY, AFTER, AFTER),
        (HARD_IDLE, NOT, AFTER, AFTER),
        (UNREAD, NOT, NOT, AFTER),
        # who holds a machine did not say until when
        (HELD, NOT, NOT, NOT),
        (AWAY, NOT, NOT, NOT),
        (OVERDUE | AWAY, NOT, NOT, NOT),
    ],
)
def test_the_answer_at_each_distance(facts, today, near, far):
    assert said(facts, Days(TODAY, day(3))).kind == today
    assert said(facts, NEAR).kind == near
    assert said(facts, NEXT_MONTH).kind == far
    assert said(facts, SPRING).kind == far


@pytest.mark.parametrize("facts", [OVERDUE, TO_COME, LIMIT, LINE])
def test_work_with_a_shop_day_before_it_goes_is_what_it_depends_on(facts):
    one = said(facts, NEAR, planned={5: day(2)})
    assert one.kind == AFTER
    assert one.ready_from == one.from_day == day(3)
    assert not one.final
    assert not one.needs_reason
    assert "planned for Wed 4 Mar" in one.sentence


@pytest.mark.parametrize("facts", [OVERDUE, TO_COME])
def test_work_planned_for_a_day_on_which_it_is_out_is_not(facts):
    one = said(facts, NEAR, planned={5: day(3)})
    assert one.kind == NOT
    assert one.from_day == day(4)
    assert one.needs_reason


@pytest.mark.parametrize("facts", [OVERDUE, LIMIT])
def test_a_shop_day_that_is_past_lets_nothing_out(facts):
    """The plan of yesterday, whose work was not done, settles nothing today."""
    one = said(facts, Days(TODAY, day(3)), planned={5: day(-1)})
    assert (one.kind, one.until) == (NOT, None)
    assert "to be planned by" in said(facts, NEXT_MONTH, planned={5: day(-1)}).sentence


def test_work_to_come_is_to_be_planned_or_moved_before_it_goes():
    none = said(OVERDUE, NEXT_MONTH)
    assert "to be planned by Sun 5 Apr" in none.sentence
    assert none.ready_from is None
    later = said(OVERDUE, NEXT_MONTH, planned={5: day(36)})
    assert later.kind == AFTER
    assert "planned for Tue 7 Apr, to be moved to Sun 5 Apr or before" in later.sentence


def test_a_hard_limit_is_bookable_but_no_reason_lets_it_out_today():
    assert not said(LIMIT, NEAR).final
    now = said(LIMIT, Days(TODAY, TODAY))
    assert now.final
    assert now.hard
    assert "inspection" in now.lifted_by


@pytest.mark.parametrize("ahead", range(30))
def test_the_first_day_with_time_to_plan_is_the_same_for_all_that_follow(ahead):
    """Once there is time for work, there is more of it on each later day."""
    first = said(OVERDUE, Days(day(ahead), day(ahead + 3)))
    after = said(OVERDUE, Days(day(ahead + 1), day(ahead + 4)))
    assert not (first.kind == AFTER and after.kind == NOT)


def test_a_plan_that_looks_less_far_leaves_more_to_be_planned():
    assert said(OVERDUE, NEAR, horizon_days=3).kind == AFTER
    assert said(OVERDUE, NEAR, horizon_days=4).kind == NOT


def test_a_no_with_work_before_it_goes_tells_the_no():
    one = said(OVERDUE | {"promises": [StandingBooking(booking(3, 4))]}, NEAR, planned={5: day(1)})
    assert one.kind == NOT
    assert one.until == day(4)
    assert [reason.kind for reason in one.reasons] == ["promised", "overdue"]
    assert one.lasts == "Until Fri 6 Mar, in 4 days"


def test_a_yes_says_by_when_it_must_be_back():
    assert said({"due_points": [point(pk=5, p50=day(20))]}, NEAR).back_by == day(19)
    assert said({}, NEAR).back_by is None


def test_the_best_answer_stands_first():
    def of(pk, **facts):
        return answer(standing(machine=machine(pk), **facts), NEAR, TODAY)

    to_plan, planned, no, yes = (
        of(1, **LIMIT), of(2, **LIMIT, planned={5: day(1)}), of(3, **OVERDUE), of(4)
    )  # fmt: skip
    ranked = best_first([no, to_plan, planned, yes])
    assert [one.machine.pk for one in ranked] == [4, 2, 1, 3]
