"""Which notices a person may read."""

import pytest

from fleet.models import Role
from scheduling.queries.readable_notices import for_person
from tests import consequences, factories

pytestmark = pytest.mark.django_db


def test_each_reads_their_own_and_a_manager_those_of_the_shop():
    manager = factories.Person()
    desk = factories.Person(shop=manager.shop, role=Role.DESK)
    to_manager = consequences.Notice(person=manager)
    to_desk = consequences.Notice(person=desk)
    elsewhere = consequences.Notice()
    assert set(for_person(desk)) == {to_desk}
    assert set(for_person(manager)) == {to_manager, to_desk}
    everywhere = factories.Person(shop=None)
    assert set(for_person(everywhere)) == {to_manager, to_desk, elsewhere}
