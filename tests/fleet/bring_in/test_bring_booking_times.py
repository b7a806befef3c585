"""Bookings of a sheet with times of day: two customers share a day, the same file adds nothing."""

from datetime import time

import pytest

from fleet.bring_in.import_acts import bring_at_once
from fleet.models import Booking
from tests import factories
from tests.fleet.bring_in.test_import_acts import NOW

pytestmark = pytest.mark.django_db
HEAD = "Machine,First day,From time,Last day,Back at,Customer\n"


def bring(*rows):
    factories.Machine._meta.model.objects.filter(tag="Q-1").exists() or factories.Machine(tag="Q-1")
    text = HEAD + "".join(f"{row}\n" for row in rows)
    return bring_at_once(text.encode(), "b.csv", make_missing=False, by=None, now=NOW)[1].sheets[0]


def test_times_come_in_and_halves_of_a_day_stand_side_by_side():
    rows = ("Q-1,2030-05-02,8:00,2030-05-02,noon,Alder", "Q-1,2030-05-02,12:00,2030-05-02,,Birch")
    assert bring(*rows).added == 2
    first, second = Booking.objects.order_by("starts_at")
    assert (first.from_time, first.to_time) == (time(8), time(12))
    assert (second.from_time, second.to_time) == (time(12), None)
    assert bring(*rows).added == 0


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Q-1,2030-05-02,9:00,2030-05-02,8:00,Alder", "come back before it goes out"),
        ("Q-1,2030-05-02,late,2030-05-02,,Alder", "is not a time of day"),
    ],
)
def test_times_that_cannot_be_are_refused_with_the_reason(row, said):
    looked = bring(row)
    assert looked.added == 0
    assert said in looked.refusals[0].reason
