"""Guessing is slowed by name and by address, and nobody is shut out from elsewhere."""

from datetime import timedelta

import pytest
from axes.models import AccessFailureLog
from django.contrib.auth import authenticate
from django.contrib.auth.models import AnonymousUser
from django.urls import reverse
from django.utils import timezone

from fleet.sign_in_throttle import wait_here
from fleet.sign_in_waits import NONE, SHUT_AFTER, SLOWED_AFTER
from tests import factories
from tests.pages import answer, at_noon  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
RIGHT = "tin roof rain"
OFFICE, ELSEWHERE = "198.51.100.4", "203.0.113.9"


@pytest.fixture(autouse=True)
def _quick_hashes(settings):
    """A hash that is slow on purpose would be asked for a hundred times over."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def boss():
    person = factories.Person(role="manager", username="boss")
    person.set_password(RIGHT)
    person.save()
    return person


@pytest.fixture
def through_a_proxy(settings):
    settings.PROXY_HOPS = 1


def attempt(client, name, password, address):
    given = {"username": name, "password": password}
    return client.post(reverse("sign-in"), given, headers={"x-forwarded-for": address})


def test_nobody_shuts_the_manager_out_from_elsewhere(client, boss, through_a_proxy):
    assert attempt(client, "boss", RIGHT, OFFICE).status_code == 302
    client.logout()
    for n in range(30):
        attempt(client, "boss", "wrong", f"203.0.113.{n // 9}")
    assert attempt(client, "boss", "wrong", "203.0.113.1").status_code == 429
    assert attempt(client, "boss", RIGHT, OFFICE).status_code == 302


def test_a_name_tried_from_many_addresses_is_slowed_where_it_is_not_known(
    client, boss, through_a_proxy
):
    found = [
        attempt(client, "boss", "wrong", f"203.0.113.{n}").status_code for n in range(SLOWED_AFTER)
    ]
    assert found[-2:] == [200, 429]
    assert attempt(client, "boss", RIGHT, "192.0.2.1").status_code == 429  # it takes its turn


def test_forty_names_from_one_address_are_slowed(client, through_a_proxy):
    found = [attempt(client, f"name{n}", "wrong", ELSEWHERE).status_code for n in range(40)]
    assert found[: SLOWED_AFTER - 1] == [200] * (SLOWED_AFTER - 1)
    assert found[SLOWED_AFTER - 1 :] == [429] * (40 - SLOWED_AFTER + 1)
    assert AccessFailureLog.objects.count() == SLOWED_AFTER  # the rest was not even looked at


def test_an_invented_forwarded_address_helps_nobody(client, boss, settings):
    """Without a proxy of ours the header is the client's own word."""
    assert settings.PROXY_HOPS == 0
    found = [attempt(client, "boss", "wrong", f"203.0.113.{n}") for n in range(SHUT_AFTER)]
    assert found[-1].status_code == 429
    assert answer(found[-1]) == "Too many wrong passwords or codes: wait a quarter of an hour."
    assert int(found[-1]["Retry-After"]) > 800


def test_a_good_sign_in_forgives_what_was_mistyped_before(client, boss):
    for _ in range(SHUT_AFTER - 1):
        attempt(client, "boss", "wrong", "")
    assert attempt(client, "boss", RIGHT, "").status_code == 302
    client.logout()
    assert attempt(client, "boss", "wrong", "").status_code == 200


def test_what_has_no_name_is_counted_by_its_address(rf, client):
    """As a code or a link that signs somebody in."""
    request = rf.post("/", REMOTE_ADDR=ELSEWHERE)
    for _ in range(SLOWED_AFTER):
        request = rf.post("/", REMOTE_ADDR=ELSEWHERE)
        request.session, request.user = client.session, AnonymousUser()
        assert authenticate(request, code="wrong") is None
    now = timezone.now()
    assert wait_here(request, None, now) > NONE
    assert wait_here(request, None, now + timedelta(hours=1)) == NONE
    assert wait_here(rf.post("/", REMOTE_ADDR=OFFICE), None, now) == NONE


def test_there_is_one_page_to_sign_in(client):
    factories.Person()
    for address in ("/set-up/sheets/login/", "/set-up/sheets/login"):
        found = client.get(address, follow=True)
        assert found.request["PATH_INFO"] == reverse("sign-in") or found.status_code == 404
    assert client.get("/set-up/sheets/").headers["Location"].startswith(reverse("sign-in"))
    client.force_login(factories.Person(role="manager"))
    assert client.get("/set-up/sheets/login/").status_code == 404
