"""The version stands at the foot of each page, on screen and on paper."""

import tomllib

import pytest
from django.conf import settings

from fleet.version import VERSION
from tests import factories
from tests.pages import sign_in, words

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("page", ["/yard/", "/bench/", "/bench/paper/", "/no/such/page/"])
def test_it_stands_at_the_foot(client, page):
    sign_in(client)
    assert words(client.get(page)).rstrip().endswith(f"Evener {VERSION}")


def test_it_stands_on_the_sign_in_page(client):
    factories.Person()
    assert f"Evener {VERSION}" in words(client.get("/sign-in/"))


def test_a_request_that_is_refused_before_it_has_a_person_gets_its_page(client):
    answer = client.get("/", SERVER_NAME="elsewhere.example.org")
    assert answer.status_code == 400
    assert "Evener" in words(answer)


def test_the_package_takes_it_from_the_same_place():
    project = tomllib.loads((settings.ROOT / "pyproject.toml").read_text())
    assert "version" in project["project"]["dynamic"]
    assert project["tool"]["setuptools"]["dynamic"]["version"] == {"attr": "fleet.version.VERSION"}
