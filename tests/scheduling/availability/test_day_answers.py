"""Days cut where the answer can change give what each day alone is answered."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from scheduling.availability.answer import answer
from scheduling.availability.counter_facts import Days, StandingBooking
from scheduling.availability.day_answers import day_answers
from scheduling.availability.use_on_hire import UseOnHire
from scheduling.models import Block, MachineState, State
from tests.factories import TODAY
from tests.scheduling.availability.known import block, booking, day, machine, point, standing

SEVEN_WEEKS = Days(day(-7), day(42))
numbers = st.integers(-10, 50)
maybe = st.none() | numbers.map(day)


@st.composite
def points(draw, pk):
    p10, p50 = draw(maybe), draw(maybe)
    return point(
        pk=pk, rate_per_day=draw(st.none() | st.floats(0.1, 9)), meter_kind="hours",
        p10=p10, p50=p50, closes_day=draw(maybe), hard=draw(st.booleans()),
        state=draw(st.sampled_from([State.CLEAR, State.DUE])),
    )  # fmt: skip


@st.composite
def blocks(draw):
    kind = draw(st.sampled_from(list(Block.Kind)))
    first = draw(numbers)
    last = draw(st.none() | st.integers(first, 60))
    pk = draw(st.integers(1, 3))
    return block(kind, first, last, due_point_id=pk, hard=draw(st.booleans()))


@st.composite
def promises(draw):
    first = draw(numbers)
    return StandingBooking(booking(first, draw(st.integers(first, 60))), draw(st.booleans()))


@st.composite
def facts(draw):
    return standing(
        machine=machine(retired_on=draw(maybe)),
        state=draw(st.sampled_from([None, MachineState(state=State.CLEAR)])),
        promises=draw(st.lists(promises(), max_size=2)),
        blocks=draw(st.lists(blocks(), max_size=3)),
        due_points=[draw(points(pk)) for pk in range(1, 4)],
        planned=draw(st.dictionaries(st.integers(1, 3), numbers.map(day), max_size=3)),
        frozen_days=draw(st.integers(0, 5)),
        use=UseOnHire({"hours": draw(st.floats(0.1, 9))}, draw(st.none() | st.floats(1, 24))),
        horizon_days=draw(st.integers(1, 40)),
    )


@given(facts())
def test_each_day_is_answered_as_if_asked_alone(known):
    found: dict[date, object] = {}
    for one in day_answers(known, SEVEN_WEEKS, TODAY):
        length = (one.days.last - one.days.first).days + 1
        found |= {one.days.first + timedelta(days=n): one.answer for n in range(length)}
    asked = [TODAY + timedelta(days=n) for n in range(43)]
    assert list(found) == asked
    for each, said in found.items():
        alone = answer(known, Days(each, each), TODAY)
        causes = [(one.cause, one.done_before) for one in alone.objections]
        assert [(one.cause, one.done_before) for one in said.objections] == causes


def test_days_that_are_past_are_not_asked():
    assert day_answers(standing(), Days(day(-9), day(-1)), TODAY) == []
