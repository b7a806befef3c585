"""Whose machines and shops a person sees."""

from datetime import UTC, date, datetime

import pytest

from fleet.queries.mine import day_of, machines_of, shops_of
from tests import factories

pytestmark = pytest.mark.django_db


def test_a_person_of_a_shop_sees_its_machines_alone():
    here = factories.Machine()
    factories.Machine()
    person = factories.Person(shop=here.yard.shop)
    assert list(machines_of(person)) == [here]
    assert list(shops_of(person)) == [here.yard.shop]


def test_a_person_without_a_shop_sees_all():
    machines = {factories.Machine(), factories.Machine()}
    assert set(machines_of(factories.Person(shop=None))) == machines


def test_the_day_is_that_of_the_persons_shop():
    late = datetime(2026, 3, 3, 2, 0, tzinfo=UTC)
    person = factories.Person(shop__time_zone="America/Denver")
    assert day_of(person, late) == date(2026, 3, 2)


def test_without_any_shop_the_day_is_that_of_utc():
    late = datetime(2026, 3, 3, 2, 0, tzinfo=UTC)
    assert day_of(factories.Person.build(shop=None), late) == date(2026, 3, 3)
