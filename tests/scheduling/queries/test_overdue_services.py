"""What is overdue, worst first.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from scheduling.models import DuePoint, State
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.overdue_services import how_far_past, overdue, overdue_machines
from tests import consequences, factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return factories.Shop()


def late(shop, **facts):
    machine = facts.pop("machine", None) or factories.Machine(yard__shop=shop)
    interval = factories.Interval(makeup=machine.makeup, every=100)
    given = {
        "state": State.OVERDUE,
        "interval": interval,
        "service": interval.service,
        "meter_kind": "hours",
        "remaining": -20.0,
    }
    return consequences.DuePoint(machine=machine, **{**given, **facts})


def rows(shop):
    return overdue(shop, risks_of(open_bookings(shop, TODAY), TODAY), TODAY)


def test_the_greater_share_of_the_interval_past_is_worse_and_a_hard_limit_worst(shop):
    little, much = late(shop), late(shop, remaining=-150.0)
    hard = late(shop, remaining=-1.0, hard=True)
    assert [row.point for row in rows(shop)] == [hard, much, little]


def test_what_is_not_overdue_or_retired_or_elsewhere_is_left_out(shop):
    late(shop, state=State.DUE)
    late(factories.Shop())
    gone = late(shop)
    gone.machine.retired_on = TODAY
    gone.machine.save()
    assert rows(shop) == []


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"remaining": -31.0}, "31 h"),
        ({"remaining": 5.0, "due_day": TODAY - 12 * DAY}, "12 days"),
        ({"remaining": -31.0, "due_day": TODAY - DAY}, "31 h and 1 day"),
        ({"remaining": None, "never_done": True}, "never yet done"),
        ({"remaining": 3.0}, "most likely past its window by now"),
    ],
)
def test_how_far_past_is_said_on_both_sides(facts, words):
    point = DuePoint(machine=factories.Machine(), meter_kind="hours", **facts)
    assert how_far_past(point, TODAY) == words


def test_the_booking_that_it_blocks_and_the_planned_day_stand_beside_it(shop):
    point = late(shop)
    booking = factories.Booking(machine=point.machine)
    consequences.Block(machine=point.machine, due_point=point)
    job = consequences.PlannedJob(machine=point.machine, day=TODAY + 2 * DAY)
    consequences.PlannedWork(job=job, due_point=point, service=point.service)
    (row,) = rows(shop)
    assert (row.booking, row.planned_day) == (booking, TODAY + 2 * DAY)


def test_a_machine_is_one_line_its_worst_service_first_and_what_is_held_is_left_out(shop):
    point = late(shop)
    worse = late(shop, remaining=-90.0)
    for one in (point, worse):
        consequences.MachineState(machine=one.machine, state=State.OVERDUE)
    second = late(shop, machine=point.machine, remaining=-150.0)
    held = late(shop)
    consequences.MachineState(machine=held.machine, state=State.HELD)
    found = overdue_machines(rows(shop))
    assert [[row.point for row in one.services] for one in found] == [[second, point], [worse]]
    assert (found[0].planned_day, found[0].unplanned) == (None, 2)


@pytest.mark.parametrize("number", [2, 20])
def test_the_number_of_queries_does_not_grow(shop, number, django_assert_num_queries):
    for _ in range(number):
        late(shop)
    with django_assert_num_queries(5):  # services, machines, make-ups, yards, planned work
        found = overdue(shop, [], TODAY)
        assert all(str(row.machine.makeup.machine_class) for row in found)
