"""A person of one shop is let look at another: its Yard, shop days and machines, and no press."""

import pytest
from django.urls import reverse

from fleet.models import Hold, Role
from scheduling.models import PlanSearch
from tests import consequences, factories
from tests.factories import TODAY
from tests.pages import at_noon, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def other():
    """A machine of another shop, on a shop day there."""
    machine = factories.Machine(tag="X-1", yard__shop=factories.Shop(name="Across the river"))
    shop = machine.yard.shop
    mechanic = factories.Mechanic(shop=shop)
    job = consequences.PlannedJob(plan__shop=shop, machine=machine, mechanic=mechanic, day=TODAY)
    consequences.PlannedWork(job=job)
    return machine


@pytest.fixture
def manager(client, other):
    person = factories.Person(shop=factories.Shop(name="Zinc Hill"), sees_too=[other.yard.shop_id])
    client.force_login(person)
    return person


def days(client, other):
    return client.get(reverse("shop-days"), {"shop": other.yard.shop.name})


def test_ones_own_shop_comes_first_and_the_other_when_it_is_asked_for(client, manager, other):
    assert "Zinc Hill" in words(client.get(reverse("yard")))
    seen = words(client.get(reverse("yard"), {"shop": other.yard.shop_id}))
    assert "You may look at Across the river, and change nothing there." in seen
    assert "Across the river" in words(client.get(reverse("all-shops")))
    assert "Zinc Hill" in words(client.get(reverse("shop-days")))


def test_the_week_and_its_jobs_are_shown_without_a_press(client, manager, other):
    page = days(client, other)
    assert "X-1" in words(page)
    assert reverse("publish") not in page.text
    assert "data-move-form" not in page.text
    job = other.planned_jobs.get()
    opened = client.get(reverse("shop-day-job", args=[job.pk]))
    assert opened.status_code == 200
    assert reverse("move-work") not in opened.text


def test_a_machine_there_opens_and_no_press_about_it_is_taken(client, manager, other):
    page = client.get(other.get_absolute_url())
    assert page.status_code == 200
    assert "looks-only" in page.text
    assert reverse("job", args=[other.tag]) not in page.text
    held = client.post(reverse("hold-machine", args=[other.tag]), {"reason": "brakes"})
    assert held.status_code == 404
    client.post(
        reverse("move-work") + f"?shop={other.yard.shop.name}",
        {"machine": other.tag, "day": TODAY.isoformat()},
    )
    client.post(reverse("publish") + f"?shop={other.yard.shop.name}", {"days": 7})
    assert not Hold.objects.exists()
    assert not PlanSearch.objects.filter(shop=other.yard.shop).exists()
    assert not other.yard.shop.releases.exists()


@pytest.mark.parametrize("name", ["machine-move", "machine-retire", "job", "machine-bookings"])
def test_pages_that_change_a_machine_are_not_there(client, manager, other, name):
    assert client.get(reverse(name, args=[other.tag])).status_code == 404


def test_what_was_let_is_taken_back(client, manager, other):
    manager.sees_too = []
    manager.save()
    assert client.get(other.get_absolute_url()).status_code == 404
    assert "X-1" not in words(days(client, other))
    assert "Zinc Hill" in words(client.get(reverse("yard"), {"shop": other.yard.shop_id}))


def test_the_owner_grants_it_from_a_page_and_undoes_it_there(client, other):
    person = factories.Person(shop=factories.Shop(name="Zinc Hill"))
    client.force_login(factories.Person(role=Role.OWNER, shop=None))
    page, press = (reverse(name, args=[person.pk]) for name in ("person-doors", "person-look"))
    assert "Let look at Across the river" in words(client.get(page))
    client.post(press, {"shop": other.yard.shop_id, "may": "yes"})
    person.refresh_from_db()
    assert person.sees_too == [other.yard.shop_id]
    assert "No longer let look at Across the river" in words(client.get(page))
    client.post(press, {"shop": other.yard.shop_id, "may": "no"})
    person.refresh_from_db()
    assert person.sees_too == []


@pytest.mark.parametrize("shop", ["x", "", "9" * 30])
def test_a_shop_that_cannot_be_is_refused(client, other, shop):
    person = factories.Person(shop=factories.Shop(name="Zinc Hill"))
    client.force_login(factories.Person(role=Role.OWNER, shop=None))
    press = reverse("person-look", args=[person.pk])
    assert client.post(press, {"shop": shop, "may": "yes"}).status_code == 404


def test_a_manager_grants_no_shop_that_is_not_theirs(client, other):
    own = factories.Shop(name="Zinc Hill")
    person = factories.Person(shop=own)
    client.force_login(factories.Person(shop=own))
    press = reverse("person-look", args=[person.pk])
    assert client.post(press, {"shop": other.yard.shop_id, "may": "yes"}).status_code == 404
    person.refresh_from_db()
    assert person.sees_too == []
