"""What comes before what on one machine, and the order of a visit."""

from dataclasses import replace

import pytest

from fleet.work_keys import service_key
from scheduling.plan.begun import Begun
from scheduling.plan.sequence import WorkSequence, in_order, load_order
from scheduling.plan.work_to_plan import WorkToPlan
from tests import factories as make
from tests.scheduling.cases import TODAY

MAKEUP = 1


def work(service, machine=1, minutes=60):
    key = service_key(machine, service.pk)
    return WorkToPlan(
        key,
        service.name,
        machine,
        minutes,
        "any",
        (0, 0, 0),
        1.0,
        service=service.pk,
        makeup=MAKEUP,
        code=service.code,
    )


@pytest.fixture
def named(db):
    return {name: make.Service(code=name, name=name) for name in ("road", "oil", "big", "wash")}


def test_what_follows_comes_after_on_the_same_machine_alone(named):
    named["road"].follows.add(named["oil"])
    road, oil, other = work(named["road"]), work(named["oil"]), work(named["oil"], machine=2)
    assert load_order([road, oil, other]).after == {
        road.key: (oil.key,), oil.key: (), other.key: (),
    }  # fmt: skip
    assert load_order([road, other]).after[road.key] == ()


def test_a_service_that_covers_it_comes_before_too(named):
    named["road"].follows.add(named["oil"])
    make.cover(make.MakeUp(pk=MAKEUP), named["big"], named["oil"])
    road, big = work(named["road"]), work(named["big"])
    assert load_order([road, big]).after[road.key] == (big.key,)


def test_either_naming_keeps_two_apart(named):
    named["oil"].apart_from.add(named["wash"])
    wash, oil = work(named["wash"]), work(named["oil"])
    assert load_order([wash, oil]).apart == {wash.key: (oil.key,), oil.key: (wash.key,)}


def test_a_circle_that_came_in_by_another_door_is_cut(named):
    named["road"].follows.add(named["oil"])
    named["oil"].follows.add(named["road"])
    road, oil = work(named["road"]), work(named["oil"])
    assert load_order([road, oil]).after == {oil.key: (road.key,), road.key: ()}


def test_three_queries_however_much_work(named, django_assert_num_queries):
    rows = [work(service, machine) for service in named.values() for machine in range(1, 6)]
    with django_assert_num_queries(3):
        load_order(rows)


PLAIN = WorkToPlan("m:1:2", "b", 1, 60, "any", (0, 0, 0), 1.0, service=1)
LONG = replace(PLAIN, key="m:1:1", service=2, minutes=90)
LIFTED = replace(PLAIN, key="m:1:3", service=3)
REPAIR = replace(PLAIN, key="f:9", service=None, finding=9)
OPEN = replace(PLAIN, key="m:1:4", service=4, begun=Begun(1, TODAY, 60, 60))


def test_a_visit_is_worked_in_a_sensible_order():
    done = in_order([LIFTED, PLAIN, LONG, REPAIR, OPEN], WorkSequence({}, {}), {3: ["lift"]})
    assert done == [OPEN, REPAIR, LONG, PLAIN, LIFTED]


def test_what_must_come_before_wins():
    order = WorkSequence({REPAIR.key: (PLAIN.key,), LONG.key: ("m:1:5",)}, {})
    assert in_order([REPAIR, LONG, PLAIN], order, {}) == [LONG, PLAIN, REPAIR]


def covering(named, **facts):
    """The work of a service that covers another, and of that one."""
    make.cover(make.MakeUp(pk=MAKEUP), named["big"], named["oil"])
    return replace(work(named["big"]), **facts), work(named["oil"])


def test_what_another_covers_comes_before_it_and_never_in_its_visit(named):
    big, oil = covering(named)
    order = load_order([big, oil])
    assert (order.after[big.key], order.after[oil.key]) == ((oil.key,), ())
    assert (order.apart[big.key], order.apart[oil.key]) == ((oil.key,), (big.key,))


def test_what_may_not_wait_does_not_wait_for_what_it_covers(named):
    big, oil = covering(named, limit_day=9)
    order = load_order([big, oil])
    assert order.after[big.key] == ()
    assert order.apart[big.key] == (oil.key,)


def test_what_people_said_of_both_binds_more(named):
    big, oil = covering(named)
    order = load_order([big, oil], {big.key, oil.key})
    assert (order.after[big.key], order.apart[big.key]) == ((), ())
    one = load_order([big, oil], {oil.key})
    assert (one.after[big.key], one.apart[big.key]) == ((), (oil.key,))
