"""What hangs, oldest first, as each person sees it, with a constant number of queries."""

from datetime import timedelta

import pytest

from fleet.models import Finding, Role
from fleet.queries.open_holds import asked_for_release, must_be_true, open_holds
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_the_oldest_comes_first_and_released_ones_are_gone():
    machine = factories.Machine()
    new = factories.Hold(machine=machine, reason="b")
    old = factories.Hold(machine=machine, reason="a", placed_at=NOON - timedelta(days=3))
    factories.Hold(machine=machine, reason="c", released_at=NOON)
    factories.Hold(reason="of another machine")
    seen = open_holds(factories.Person(), machine.yard.shop, NOON)
    assert [one.hold for one in seen] == [old, new]


@pytest.mark.parametrize("number", [1, 6])
def test_the_number_of_queries_does_not_grow(number, django_assert_num_queries):
    shop = factories.Shop()
    for _ in range(number):
        machine = factories.Machine(yard__shop=shop)
        finding = factories.Finding(
            machine=machine, gravity=Finding.Gravity.UNSAFE, skill=factories.Skill()
        )
        factories.Hold(machine=machine, finding=finding)
    person = factories.Person(role=Role.MECHANIC, shop=shop)
    with django_assert_num_queries(3):
        seen = open_holds(person, shop, NOON)
        assert len([(one.who_may, one.note, one.must_be_true) for one in seen]) == number


def test_the_question_is_asked_of_what_is_put_right_and_still_held():
    machine, person = factories.Machine(), factories.Person()
    done = factories.Finding(machine=machine, settled_at=NOON, settled_note="new pads")
    factories.Hold(machine=machine, reason="a", finding=done)
    factories.Hold(machine=machine, reason="b", finding=factories.Finding(machine=machine))
    factories.Hold(machine=machine, reason="c", finding=done, released_at=NOON)
    factories.Hold(machine=machine, reason="d")
    asked = asked_for_release(person, machine, NOON)
    assert [(one.hold.reason, one.note) for one in asked] == [("a", "new pads")]


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"condition": "guard fitted."}, "For its release: guard fitted."),
        ({}, "Nobody said what must be true for its release."),
    ],
)
def test_what_must_be_true_is_said(facts, words):
    assert must_be_true(factories.Hold(**facts)) == words
