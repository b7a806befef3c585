"""How good are the dates?  Today is Monday 2 March 2026."""

import pytest
from django.urls import reverse

from scheduling.worker.night import run_night
from tests import factories as make
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.hindsight.forecast_case import kept

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def shop():
    """A shop whose forty forecasts of last October are judged."""
    machine = make.Machine(yard__shop__name="Cold Fork")
    for number in range(40):
        kept(machine, make.Service(), **({"truth": 90, "outcome": "later"} if number < 8 else {}))
    run_night(machine.yard.shop, NOON)
    return machine.yard.shop


def page(client, query=""):
    return client.get(reverse("range-record") + query)


def test_the_first_line_says_how_many_held(client, shop):
    sign_in(client, shop=shop)
    response = page(client)
    assert answer(response) == "8 of 10 services fell inside their range: 32 of 40, 80 %."
    assert "Oct 2025" in words(response)
    assert "of the latest ones, only those that fell due early are in yet" in words(response)


def test_the_yard_says_the_same_and_leads_here(client, shop):
    sign_in(client, shop=shop)
    response = client.get(reverse("yard"))
    assert "8 of 10 services fell inside their range" in words(response)
    assert reverse("range-record").encode() in response.content


def test_the_list_of_machines_leads_here_for_the_manager_alone(client, shop):
    link = reverse("range-record").encode()
    sign_in(client, shop=shop)
    assert link in client.get(reverse("machines")).content
    sign_in(client, "desk", shop)
    assert link not in client.get(reverse("machines")).content


def test_a_shop_without_a_year_is_told_what_to_do(client):
    sign_in(client, shop=make.Machine().yard.shop)
    response = page(client)
    assert answer(response) == "No forecast is old enough to be judged yet."
    assert "backtest_forecasts" in words(response)


def test_without_a_shop_there_is_a_page(client):
    sign_in(client, shop=None)
    assert page(client).status_code == 200


@pytest.mark.parametrize("value", ["999999", "abc"])
def test_a_shop_that_is_not_there_is_said(client, shop, value):
    sign_in(client, shop=shop)
    response = page(client, f"?shop={value}")
    assert "There is no such shop; the first one is shown." in words(response)


@pytest.mark.parametrize("role", ["desk", "mechanic"])
def test_it_is_the_managers_alone(client, role):
    sign_in(client, role)
    assert page(client).status_code == 403


def test_signed_out_it_asks_to_sign_in(client):
    assert page(client).url == f"{reverse('sign-in')}?next={reverse('range-record')}"
