"""Who gets a notice of a shop."""

from fleet.models import Role
from scheduling.notices import addressees
from tests import factories


def test_managers_are_those_of_the_shop_and_those_of_none(shop, manager, desk):
    roaming = factories.Person(shop=None)
    root = factories.Person(shop=shop, role=Role.MECHANIC, is_superuser=True)
    factories.Person()  # of another shop
    factories.Person(shop=shop, is_active=False)
    assert set(addressees.managers(shop)) == {manager, roaming, root}


def test_the_desk_is_written_to_where_there_is_one(shop, manager, desk):
    assert addressees.desk(shop) == [desk]


def test_without_a_desk_the_manager_keeps_it(shop, manager, mechanic):
    assert addressees.desk(shop) == [manager]
