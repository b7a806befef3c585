"""Who may put a fact right."""

from datetime import timedelta

import pytest

from fleet.may_correct import AuthoredFact, may_correct
from fleet.models import Role
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return factories.Shop()


@pytest.mark.parametrize(
    ("role", "own_shop", "wrote", "days", "may"),
    [
        (Role.MANAGER, True, False, 30, True),
        (Role.MECHANIC, True, False, 30, True),  # it is work of the bench
        (Role.MECHANIC, False, False, 0, False),
        (Role.DESK, True, False, 0, False),
        (Role.DESK, True, True, 0, True),  # wrote it today
        (Role.DESK, True, True, 1, False),
    ],
)
def test_who_may(shop, role, own_shop, wrote, days, may):
    person = factories.Person(role=role, shop=shop if own_shop else factories.Shop())
    fact = AuthoredFact(
        person.pk if wrote else None, NOON - timedelta(days=days), shop, (Role.MECHANIC,)
    )
    assert may_correct(person, fact, NOON) is may
