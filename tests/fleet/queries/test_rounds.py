"""The meters of a yard for the round."""

from datetime import timedelta

import pytest

from fleet.queries.rounds import UNREAD_DAYS, Way, walk_round, yards_of
from tests import factories
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
