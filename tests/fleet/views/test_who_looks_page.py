"""A manager lets somebody of another shop look at their own, and no longer."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import LoggedChange, Role
from tests import factories
from tests.pages import answer, at_noon, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
PAGE = "/set-up/who-looks/"


@pytest.fixture
def shop():
    return factories.Shop(name="Zinc Hill")


@pytest.fixture
def manager(client, shop):
    person = factories.Person(username="zoe", first_name="Zoe", shop=shop)
    client.force_login(person)
    return person


@pytest.fixture
def neighbour():
    other = factories.Shop(name="Across the river")
    return factories.Person(username="nils", first_name="Nils", shop=other)


def let(client, name="nils", **where):
    return client.post(reverse("who-looks", query=where), {"username": name}, follow=True)


def test_a_manager_lets_somebody_of_another_shop_look_and_sees_it_told(
    client, manager, neighbour, shop
):
    assert answer(client.get(PAGE)) == (
        "Nobody of another shop looks at Zinc Hill, but for owners."
    )
    said = words(let(client, " NILS "))
    assert "Nils may look at Zinc Hill." in said
    assert "1 person of other shops may look at Zinc Hill." in said
    line = said.partition("Who looks Nils")[2].partition("No longer let Nils look")[0]
    assert "fleet manager of Across the river, let" in line
    assert line.strip().endswith("by Zoe")
    neighbour.refresh_from_db()
    assert neighbour.sees_too == [shop.pk]
    client.force_login(neighbour)
    seen = words(client.get(reverse("yard"), {"shop": shop.pk}))
    assert "You may look at Zinc Hill, and change nothing there." in seen


def test_it_is_taken_back_and_both_stand_in_the_log_that_the_manager_reads(
    client, manager, neighbour
):
    let(client)
    end = reverse("who-looks-end", args=[neighbour.pk])
    assert "Nils no longer looks at Zinc Hill." in words(client.post(end, follow=True))
    neighbour.refresh_from_db()
    assert neighbour.sees_too == []
    assert client.post(end).status_code == 404
    log = words(client.get(reverse("changes")))
    assert "let be looked at" in log
    assert "no longer looked at" in log


def test_pressed_twice_it_is_told_once(client, manager, neighbour, shop):
    let(client)
    let(client)
    assert LoggedChange.objects.filter(kind="shop", subject_id=shop.pk).count() == 1


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("nobody", {}),
        ("owner", {"role": Role.OWNER, "shop": None}),
        ("hand", {"role": Role.HAND}),
        ("gone", {"is_active": False}),
    ],
)
def test_who_cannot_be_let_is_refused_in_words(client, manager, neighbour, name, more):
    if more:
        factories.Person(username=name, **({"shop": neighbour.shop} | more))
    assert f"Nobody of another shop signs in as {name}." in words(let(client, name))
    assert not LoggedChange.objects.exists()


def test_ones_own_people_are_refused(client, manager, shop):
    factories.Person(username="own", shop=shop)
    assert "Nobody of another shop signs in as own." in words(let(client, "own"))


def test_nothing_typed_is_refused(client, manager):
    assert "Type the name with which they sign in." in words(let(client, " "))


def test_a_manager_lends_no_sight_of_a_shop_that_is_not_theirs(client, manager, neighbour, shop):
    """The shop of the address is not theirs, so it is their own that is meant and shown."""
    third = factories.Person(username="tom", shop=factories.Shop(name="Third"))
    page = let(client, "tom", shop=neighbour.shop.name)
    assert "tom may look at Zinc Hill." in words(page)
    third.refresh_from_db()
    assert third.sees_too == [shop.pk]
    end = reverse("who-looks-end", args=[third.pk])
    client.force_login(neighbour)
    assert client.post(end).status_code == 404


def test_an_owner_chooses_the_shop(client, shop, neighbour):
    client.force_login(factories.Person(role=Role.OWNER, shop=None))
    assert "Nils may look at Zinc Hill." in words(let(client, shop=shop.name))
    assert "Who may look at Across the river" in words(
        client.get(PAGE, {"shop": "Across the river"})
    )


def test_its_queries_do_not_grow_with_those_who_look(client, manager, neighbour, shop):
    def asked():
        with CaptureQueriesContext(
            connection,
        ) as found:
            client.get(PAGE)
        return len(found)

    let(client)
    few = asked()
    for _ in range(4):
        factories.Person(shop=neighbour.shop, sees_too=[shop.pk])
    assert asked() == few
    assert len(client.get(PAGE).context["lookers"]) == 5
