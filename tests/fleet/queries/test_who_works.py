"""Where people work on a day."""

from datetime import date

import pytest

from fleet.queries.who_works import hands_at, machines_at_work, shop_on, workers_at
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


def test_who_is_lent_may_look_at_the_machines_of_that_shop_meanwhile():
    own = factories.Mechanic()
    lent = factories.LentHand(person=own, name="")
    mine, theirs = (factories.Machine(yard__shop=one) for one in (own.shop, lent.shop))
    factories.Machine()
    assert set(machines_at_work(own, TODAY)) == {mine, theirs}
    assert set(machines_at_work(own, AFTER)) == {mine}


def test_who_has_no_shop_may_look_at_all_machines():
    factories.Machine()
    factories.Machine()
    assert machines_at_work(factories.Person(shop=None), TODAY).count() == 2
