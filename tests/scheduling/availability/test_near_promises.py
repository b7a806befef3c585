"""Who asks about a few days of many promises gets the answer of who looks at all of them."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fleet.models import Booking
from scheduling.availability.answer import bare_answer
from scheduling.availability.counter_facts import Days, NearPromises, StandingBooking, of_booking
from tests.factories import TODAY
from tests.scheduling.availability.known import day, standing

HOURS = st.integers(0, 47)


@st.composite
def promises(draw, pk):
    first = draw(st.integers(-5, 40))
    last = first + draw(st.integers(0, 6))
    row = Booking(pk=pk, first_day=day(first), last_day=day(last), customer="Alder")
    if draw(st.booleans()):
        row.starts_at = datetime.combine(day(first), time(), UTC) + timedelta(hours=draw(HOURS))
        row.ends_at = row.starts_at + timedelta(hours=24 * (last - first) + draw(HOURS))
    return StandingBooking(row, draw(st.booleans()), draw(st.booleans()))


@given(st.tuples(*(promises(pk) for pk in range(1, 7))), st.integers(0, 40), st.integers(0, 3))
def test_what_is_far_off_changes_no_answer(all_of_them, first, more):
    known = standing(promises=list(all_of_them))
    days = Days(day(first), day(first + more))
    near = NearPromises.of(known)
    assert bare_answer(near.on(days), days, TODAY) == bare_answer(known, days, TODAY)
    own = all_of_them[0].booking
    others = of_booking(known, own)
    assert bare_answer(near.on(days, own), days, TODAY) == bare_answer(others, days, TODAY)


def test_what_is_far_off_is_not_looked_at():
    far = [
        StandingBooking(Booking(pk=n, first_day=day(n), last_day=day(n), customer="Alder"))
        for n in range(10, 30)
    ]
    for one in far:
        one.booking.starts_at = datetime.combine(one.booking.first_day, time(), UTC)
        one.booking.ends_at = one.booking.starts_at + timedelta(days=1)
    near = NearPromises.of(replace(standing(), promises=far))
    assert near.on(Days(day(1), day(3))).promises == []
    assert len(near.on(Days(day(12), day(12))).promises) < 8
