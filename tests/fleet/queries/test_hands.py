"""Where people work on a day."""

from datetime import date

import pytest

from fleet.queries.hands import hands_at, shop_on, workers_at
from tests import factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db
AFTER = date(2026, 3, 9)


def test_a_lent_hand_works_where_they_are_lent_to_on_those_days():
    own = factories.Mechanic()
    lent = factories.LentHand(person=own, name="")
    assert (shop_on(own, TODAY), shop_on(own, AFTER)) == (lent.shop, own.shop)
    assert list(hands_at(lent.shop, TODAY)) == [own]
    assert not hands_at(lent.shop, AFTER)
    assert list(hands_at(lent.shop, date(2026, 2, 1), AFTER)) == [own]


def test_a_hand_from_outside_works_nowhere_on_other_days():
    assert shop_on(factories.LentHand().person, AFTER) is None


def test_who_may_be_given_work():
    shop = factories.Shop()
    mechanic, lent = factories.Mechanic(shop=shop), factories.LentHand(shop=shop)
    factories.Person(shop=shop)  # the manager
    factories.Mechanic(shop=shop, is_active=False)
    assert set(workers_at(shop, TODAY)) == {mechanic, lent.person}
    assert set(workers_at(shop, AFTER)) == {mechanic}
