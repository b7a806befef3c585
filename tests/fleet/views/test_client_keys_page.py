"""The page of keys for other programs."""

import re

import pytest
from django.urls import reverse

from fleet.models import ClientKey
from fleet.queries.standing_keys import key_shown
from tests import factories
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

PAGE = "/set-up/keys/"


def make(client, manager, **more):
    typed = {"name": "web shop", "scope": "desk", "shop": manager.shop_id, "form_key": "k1"}
    return client.post(PAGE, typed | more)


def word_on(page):
    found = re.search(r'id="new-key" value="([^"]+)"', page.text)
    return found[1] if found else None


def test_a_key_is_shown_once_and_listed_by_its_beginning(client):
    manager = sign_in(client)
    assert "there is no key" in answer(client.get(PAGE))
    made = make(client, manager)
    word = word_on(made)
    assert key_shown(word).answers == manager
    assert "no-store" in made["Cache-Control"]
    again = client.get(PAGE)
    assert word not in again.text
    assert key_shown(word).hint in again.text
    assert answer(again) == "1 program can ask and act with a key."


def test_a_second_press_makes_no_second_key(client):
    manager = sign_in(client)
    make(client, manager)
    assert word_on(make(client, manager)) is None
    assert ClientKey.objects.count() == 1


def test_a_revoked_key_moves_down_the_page(client):
    word = word_on(make(client, sign_in(client)))
    key = ClientKey.objects.get()
    client.post(reverse("client-key-revoke", args=[key.pk]))
    assert key_shown(word) is None
    assert "revoked" in words(client.get(PAGE))


def test_a_manager_of_one_shop_makes_none_for_another(client):
    manager = sign_in(client)
    other = factories.Shop()
    assert "no such shop" in words(make(client, manager, shop=other.pk))
    assert make(client, manager, shop="").status_code == 200
    assert not ClientKey.objects.exists()


def test_a_manager_of_every_shop_may_make_one_for_all(client):
    client.force_login(factories.Person(shop=None))
    make(client, factories.Person(), shop="")
    assert ClientKey.objects.get().shop is None


def test_keys_of_another_shop_are_neither_seen_nor_revoked(client):
    make(client, sign_in(client))
    key = ClientKey.objects.get()
    sign_in(client)
    assert "web shop" not in client.get(PAGE).text.partition("Keys that stand")[2][:200]
    assert client.post(reverse("client-key-revoke", args=[key.pk])).status_code == 404
    assert ClientKey.objects.get().revoked_at is None


def test_every_scope_that_opens_something_is_offered_and_no_other(client):
    manager = sign_in(client)
    assert "readings: what meters show, sent in" in client.get(PAGE).text
    make(client, manager, scope="everything")
    assert not ClientKey.objects.exists()


@pytest.mark.parametrize("role", ["desk", "mechanic"])
def test_only_a_manager_sees_keys(client, role):
    sign_in(client, role)
    assert client.get(PAGE).status_code == 403


def test_it_is_linked_from_set_up(client):
    sign_in(client)
    assert PAGE in client.get(reverse("set-up")).text
