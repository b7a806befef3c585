"""The meters of a yard for the round."""

from datetime import timedelta

import pytest

from fleet.queries.mine import yards_of
from fleet.queries.rounds import UNREAD_DAYS, Way, machines_on_round, walk_round
from tests import factories
from tests.consequences import MachineState
from tests.factories import NOON, TODAY


@pytest.fixture
def yard(db):
    return factories.Yard()


def test_meters_come_by_tag_with_what_they_showed(yard):
    second = factories.Meter(machine__tag="B", machine__yard=yard)
    first = factories.Meter(machine__tag="A", machine__yard=yard)
    reading = factories.Reading(meter=first)
    walk = walk_round(factories.Person(shop=yard.shop), yard, Way(), NOON)
    assert [(dial.meter, dial.last) for dial in walk.dials] == [(first, reading), (second, None)]


def test_a_retired_machine_and_a_meter_taken_off_are_left_out(yard):
    factories.Meter(machine__yard=yard, machine__retired_on=TODAY)
    factories.Meter(machine__yard=yard, removed_at=NOON)
    assert walk_round(factories.Person(shop=yard.shop), yard, Way(), NOON).count == 0


def test_meters_not_read_for_two_weeks_are_counted(yard):
    long_ago = NOON - timedelta(days=UNREAD_DAYS, hours=1)
    factories.Reading(meter__machine__yard=yard, read_at=long_ago)
    factories.Reading(meter__machine__yard=yard)
    factories.Meter(machine__yard=yard)
    assert walk_round(factories.Person(shop=yard.shop), yard, Way(), NOON).unread == 2


def test_people_walk_the_yards_of_their_shop(yard):
    other = factories.Yard()
    assert list(yards_of(factories.Person(shop=yard.shop))) == [yard]
    assert set(yards_of(factories.Person(shop=None))) == {yard, other}


@pytest.fixture
def walkers(yard):
    """Three meters, A to C; a reading of B would help, one of C would help more."""
    meters = [factories.Meter(machine__tag=tag, machine__yard=yard) for tag in "ABC"]
    for meter, gain in zip(meters, (0, 7, 19), strict=True):
        said = {"reading_kind": "hours", "reading_gain": gain, "reading_why": "so"} if gain else {}
        MachineState(machine=meter.machine, **said)
    return meters


def tags(walk):
    return "".join(dial.meter.machine.tag for dial in walk.dials)


def test_those_whose_reading_helps_most_stand_first(yard, walkers):
    walk = walk_round(factories.Person(shop=yard.shop), yard, Way(), NOON)
    assert (tags(walk), walk.wanted) == ("CBA", 2)


def test_by_tag_when_asked_for(yard, walkers):
    walk = walk_round(factories.Person(shop=yard.shop), yard, Way(by_tag=True), NOON)
    assert (tags(walk), walk.wanted) == ("ABC", 2)


def test_a_second_meter_that_would_tell_nothing_stands_with_the_rest(yard, walkers):
    factories.Meter(machine=walkers[2].machine, kind="distance")
    walk = walk_round(factories.Person(shop=yard.shop), yard, Way(), NOON)
    assert [dial.kind for dial in walk.dials] == ["hours", "hours", "hours", "distance"]


def test_a_form_that_came_back_keeps_its_own_meters_and_order(yard, walkers):
    a, b, _ = walkers
    elsewhere = factories.Meter()
    way = Way(typed=[b.pk, a.pk, elsewhere.pk, 10**9])
    walk = walk_round(factories.Person(shop=yard.shop), yard, way, NOON)
    assert tags(walk) == "BA"


def test_the_nearest_yard_comes_first_and_one_whose_way_nobody_said_last(yard):
    """Their own, at the shop, half an hour, three hours, not said, another shop's."""
    person = factories.Person(shop=yard.shop, home_yard=yard)
    for tag, told in {
        "U": {"remote": True, "travel_hours": 0}, "H": {"travel_hours": 0.5, "remote": True},
        "D": {"travel_hours": 3}, "S": {"travel_hours": 0},
    }.items():  # fmt: skip
        # by name the order would be another
        there = factories.Yard(shop=yard.shop, name=f"{'UDHS'.index(tag)} yard", **told)
        factories.Meter(machine__tag=tag, machine__yard=there)
    factories.Meter(machine__tag="O", machine__yard=yard)
    walk = walk_round(person, None, Way(near=True), NOON)
    assert tags(walk) == "OSHDU"
    found = machines_on_round(person).values_list("tag", flat=True)
    assert "".join(found) == "OSHDU"


def test_yards_of_another_shop_come_behind_those_of_ones_own(yard):
    far = factories.Yard(shop=yard.shop, travel_hours=9)
    factories.Meter(machine__tag="F", machine__yard=far)
    factories.Meter(machine__tag="X", machine__yard=factories.Yard())
    owner = factories.Person(shop=yard.shop, home_yard=yard, role="owner")
    assert tags(walk_round(owner, None, Way(near=True), NOON)) == "FX"


def test_the_number_of_queries_does_not_grow(yard, walkers, django_assert_num_queries):
    person = factories.Person(shop=yard.shop)
    for _ in range(12):
        factories.Reading(meter__machine__yard=yard)
    with django_assert_num_queries(5):
        tags(walk_round(person, yard, Way(), NOON))
