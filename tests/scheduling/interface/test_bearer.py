"""Who may ask: keys, their scopes, keys that are wrong or revoked."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client

from fleet.actions.make_keys import revoke_key
from fleet.models import ClientKey, KeyScope
from tests import factories
from tests.factories import NOON
from tests.pages import at_noon  # noqa: F401
from tests.scheduling.interface.client_of import program

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

ADDRESS = "/api/v1/may-go-out"
ASKED = {"class": "Quad", "first_day": "2026-03-02", "last_day": "2026-03-05"}


@pytest.fixture(autouse=True)
def quad():
    cache.clear()
    factories.Shop()
    yield factories.MachineClass(name="Quad")
    cache.clear()


def shown(header):
    more = {"HTTP_AUTHORIZATION": header} if header is not None else {}
    return Client().get(ADDRESS, ASKED, **more)


@pytest.mark.parametrize(
    "header", [None, "", "Bearer", "Bearer ", "Bearer wrong", "Basic dXNlcjpwYXNz", "Bearer \0 x"]
)
def test_without_a_right_key_nothing_is_said(header):
    answer = shown(header)
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"].startswith("Bearer")
    assert answer.json()["detail"]


def test_who_is_signed_in_still_needs_a_key(client):
    client.force_login(factories.Person())
    assert client.get(ADDRESS, ASKED).status_code == 401


def test_a_right_key_opens_and_is_seen_to_be_used():
    one = program(KeyScope.READ)
    assert one.get(ADDRESS, **ASKED).status_code == 200
    assert ClientKey.objects.get().last_used_at == NOON


def test_a_use_is_not_written_down_at_every_question(monkeypatch, django_assert_num_queries):
    one = program(KeyScope.READ)
    one.get(ADDRESS, **ASKED)
    later = NOON + timedelta(minutes=1)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    one.get(ADDRESS, **ASKED)
    assert ClientKey.objects.get().last_used_at == NOON


def test_a_revoked_key_opens_nothing():
    one = program(KeyScope.READ)
    revoke_key(one.key, by=None, now=NOON)
    assert one.get(ADDRESS, **ASKED).status_code == 401


def test_a_key_for_readings_does_not_ask_the_counter():
    answer = program(KeyScope.READINGS).get(ADDRESS, **ASKED)
    assert answer.status_code == 403
    assert "for readings" in answer.json()["detail"]
    assert "insufficient_scope" in answer["WWW-Authenticate"]


def test_many_wrong_keys_are_told_to_wait_and_a_right_one_still_opens():
    statuses = [shown(f"Bearer wrong{n}").status_code for n in range(25)]
    assert statuses == [401] * 20 + [429] * 5
    assert int(shown("Bearer wrong")["Retry-After"]) > 0
    assert program(KeyScope.READ).get(ADDRESS, **ASKED).status_code == 200


def test_the_document_is_open_and_tells_how_to_ask():
    answer = Client().get("/api/v1/openapi.json")
    assert answer.status_code == 200
    said = answer.json()
    asked = said["paths"]["/api/v1/may-go-out"]["get"]
    assert {one["name"] for one in asked["parameters"]} == {
        "class",
        "first_day",
        "last_day",
        "yard",
        "from_time",
        "to_time",
        "hours_a_day",
    }
    assert asked["security"] == [{"KeyWith": []}]
    assert said["components"]["securitySchemes"]["KeyWith"] == {"type": "http", "scheme": "bearer"}
    machine = said["components"]["schemas"]["MachineAnswer"]["properties"]
    assert machine["answer"]["enum"] == ["may", "after_work", "may_not"]


def test_another_method_is_refused():
    assert Client().post(ADDRESS, ASKED).status_code == 405
