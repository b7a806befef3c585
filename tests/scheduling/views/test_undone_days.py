"""Yard and Shop days say in one line what facts have undone, with the mended plan at hand."""

import pytest
from django.urls import reverse

from scheduling.models import Trial
from tests import consequences, factories
from tests.factories import NOON
from tests.pages import at_noon, sign_in, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

LINE = "Ingrid Sol away Mon 2 Mar to Fri 6 Mar: 35 h to place again."


@pytest.fixture
def undone(client):
    person = sign_in(client)
    factories.Machine(yard__shop=person.shop)
    consequences.Plan(shop=person.shop)
    return Trial.objects.create(
        shop=person.shop, kind=Trial.Kind.MEND, changes=[], cause=LINE, made_at=NOON,
        state=Trial.State.READY, solution={"some": "plan"},
    )  # fmt: skip


@pytest.mark.parametrize("page", ["yard", "shop-days"])
def test_the_line_stands_on_the_page_with_one_press_to_publish(client, undone, page):
    shown = client.get(reverse(page))
    assert LINE in words(shown)
    assert f'href="{reverse("trial", args=[undone.pk])}"' in shown.text
    assert f'action="{reverse("trial-publish", args=[undone.pk])}"' in shown.text


@pytest.mark.parametrize("page", ["yard", "shop-days"])
def test_while_it_is_worked_out_that_is_said(client, undone, page):
    Trial.objects.update(state=Trial.State.ASKED)
    shown = client.get(reverse(page))
    assert "The mended plan is being worked out." in words(shown)
    assert "Publish the mended plan" not in words(shown)


@pytest.mark.parametrize("state", [Trial.State.PUBLISHED, Trial.State.DROPPED])
def test_what_is_settled_is_said_no_more(client, undone, state):
    Trial.objects.update(state=state)
    assert "Ingrid" not in words(client.get(reverse("yard")))


def test_a_mechanic_sees_the_line_and_cannot_publish_what_moves_others(client, undone):
    sign_in(client, "mechanic", undone.shop)
    shown = client.get(reverse("shop-days"))
    assert LINE in words(shown)
    assert "Publish the mended plan" not in words(shown)


def test_the_page_of_the_mend_says_what_broke(client, undone):
    Trial.objects.update(state=Trial.State.ASKED)
    assert LINE in words(client.get(reverse("trial", args=[undone.pk])))
    assert "worked out since facts have changed" in words(client.get(reverse("broke")))
