"""How far a search for a plan is: told while it runs, leading on when it is over."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Role
from scheduling.models import PlanSearch
from tests import consequences
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def person(client):
    return sign_in(client)


def page_of(search):
    return reverse("plan-progress", args=[search.pk])


def test_a_search_under_way_says_its_stage_and_how_near_the_best_it_is(client, person):
    search = consequences.PlanSearch(
        shop=person.shop, began_at=NOON - timedelta(seconds=4), stage="improving",
        cost=200.0, bound=190.0,
    )  # fmt: skip
    text = words(client.get(page_of(search)))
    for said in ("Improving", "4 s", "$200.00", "$190.00", "5.0 %"):
        assert said in text


def test_it_renews_itself_with_scripts_and_by_a_link_without(client, person):
    search = consequences.PlanSearch(shop=person.shop)
    text = client.get(page_of(search) + "?back=/shop-days/%3Fday%3D2026-03-04").content.decode()
    assert 'hx-trigger="every 1s"' in text
    assert f'href="{page_of(search)}?back=/shop-days/%3Fday%3D2026-03-04"' in text
    part = client.get(page_of(search), **HTMX).content.decode()
    assert part.strip().startswith('<div id="progress"')


def test_when_it_is_over_it_leads_back_and_says_what_came_of_it(client, person):
    search = consequences.PlanSearch(shop=person.shop, ended_at=NOON, said="Planned again.")
    back = reverse("shop-days") + "?day=2026-03-04"
    led = client.get(page_of(search), {"back": back}, **HTMX)
    assert led["HX-Redirect"] == back
    client.get(page_of(search), {"back": back}, **HTMX)  # asked twice, it is told once
    assert words(client.get(back)).count("Planned again.") == 1
    plain = client.get(page_of(search), {"back": back})
    assert answer(plain) == "The plan is made."
    assert f'href="{back}"' in plain.content.decode()


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", ""])
def test_it_leads_to_no_other_site(client, person, back):
    search = consequences.PlanSearch(shop=person.shop, ended_at=NOON)
    led = client.get(page_of(search), {"back": back}, **HTMX)
    assert led["HX-Redirect"] == reverse("shop-days")


def test_a_worker_that_does_not_begin_is_named(client, person):
    search = consequences.PlanSearch(shop=person.shop, asked_at=NOON - timedelta(minutes=1))
    assert "Planning has not started yet" in words(client.get(page_of(search)))


def test_others_searches_and_the_desk_are_kept_out(client, person):
    assert client.get(page_of(consequences.PlanSearch())).status_code == 404
    sign_in(client, Role.DESK, person.shop)
    assert client.get(reverse("plan-searches")).status_code == 403


def test_planning_again_is_the_managers(client, person):
    gone = client.post(reverse("plan-again") + "?day=2026-03-04")
    search = PlanSearch.objects.get(cause="hand")
    assert gone.url.startswith(page_of(search))
    assert client.get(reverse("plan-again")).status_code == 405
    sign_in(client, Role.MECHANIC, person.shop)
    assert client.post(reverse("plan-again")).status_code == 403


def test_the_list_says_what_is_planned_now_and_what_came_of_the_last(client, person):
    assert "No plan has been searched for" in answer(client.get(reverse("plan-searches")))
    consequences.PlanSearch(shop=person.shop, ended_at=NOON, said="Planned again.")
    now = consequences.PlanSearch(shop=person.shop, stage="improving", asked_at=NOON)
    page = client.get(reverse("plan-searches"))
    assert answer(page) == "A plan is being made: improving."
    assert "Planned again." in words(page)
    assert page_of(now) in page.content.decode()


def test_the_number_of_queries_does_not_grow(client, person, django_assert_num_queries):
    def asked():
        with django_assert_num_queries(7):
            client.get(reverse("plan-searches"))

    consequences.PlanSearch(shop=person.shop, by=person)
    asked()
    for _ in range(5):
        consequences.PlanSearch(shop=person.shop, by=person)
    asked()
