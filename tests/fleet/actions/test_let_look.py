"""Somebody of one shop is let look at another."""

import pytest

from fleet.actions.let_look import let_look
from fleet.models import LoggedChange, Role
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def other():
    factories.Shop()
    return factories.Shop(name="Cold Fork")


def look(person, shop, may=True):
    let_look(person, shop, may=may, by=factories.Person(role=Role.OWNER), now=NOON)
    person.refresh_from_db()
    return person.sees_too


def test_it_is_kept_once_and_undone_with_its_trace(other):
    person = factories.Person(shop=factories.Shop(name="Alder"))
    assert look(person, other) == look(person, other) == [other.pk]
    assert look(person, other, may=False) == look(person, other, may=False) == []
    told = LoggedChange.objects.order_by("pk")
    assert [row.values[0]["new"] for row in told.filter(kind="person")] == ["Cold Fork", ""]
    assert [(row.subject_id, row.act) for row in told.filter(kind="shop")] == [
        (other.pk, "let be looked at"), (other.pk, "no longer looked at")
    ]  # fmt: skip


def test_who_sees_all_shops_the_own_shop_and_hands_are_refused(other):
    for person in (
        factories.Person(shop=None),
        factories.Person(shop=other),
        factories.Person(shop=factories.Shop(name="Alder"), role=Role.HAND),
    ):
        with pytest.raises(Refusal):
            look(person, other)
        assert person.sees_too == []
