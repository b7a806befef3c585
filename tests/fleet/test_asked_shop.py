"""The shop that an address names, as far as the person may look at it."""

import pytest
from django.http import Http404
from django.test import RequestFactory

from fleet.asked_shop import asked_shop
from tests import factories

pytestmark = pytest.mark.django_db


def asked(name, person):
    request = RequestFactory().get("/", {"shop": name})
    request.user = person
    return asked_shop(request)


def test_an_owner_of_several_shops_gets_the_one_that_is_named():
    first, other = (factories.Shop(name=name) for name in ("Alder", "Birch"))
    owner = factories.Person(role="manager", shop=None)
    assert asked("Birch", owner) == other
    assert asked("", owner) == first


def test_who_may_not_look_at_it_gets_their_own():
    factories.Shop(name="Alder")
    manager = factories.Person(role="manager", shop=factories.Shop(name="Birch"))
    assert asked("Alder", manager).name == "Birch"


def test_without_a_shop_there_is_no_page():
    with pytest.raises(Http404):
        asked("", factories.Person(role="manager", shop=None))
