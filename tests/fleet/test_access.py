"""Where people land, and what somebody without a role is told."""

import pytest
from django.urls import reverse

from fleet.models import Role
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("role", "page"),
    [
        (Role.MANAGER, "yard"),
        (Role.DESK, "counter"),
        (Role.MECHANIC, "bench"),
        (Role.HAND, "meter-round"),
    ],
)
def test_each_role_lands_on_its_own_page(client, role, page):
    client.force_login(factories.Person(role=role))
    assert client.get(reverse("home")).url == reverse(page)


@pytest.mark.parametrize("page", ["home", "yard"])
def test_who_has_no_role_is_told_so_in_a_sentence(client, page):
    client.force_login(factories.Person(role=""))
    answer = client.get(reverse(page))
    assert answer.status_code == 403
    assert "You have no role here yet" in answer.content.decode()


def test_a_first_manager_without_a_role_lands_on_the_yard(client):
    client.force_login(factories.Person(role="", is_superuser=True))
    assert client.get(reverse("home")).url == reverse("yard")
