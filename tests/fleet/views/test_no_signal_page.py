"""What a phone gets to work without a signal: a worker for the whole site, and who is signed in."""

import json
import re

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from fleet.phone_acts import ACTS, PAGES, pattern_of
from tests import factories

pytestmark = pytest.mark.django_db


def test_the_worker_reaches_the_whole_site_and_is_asked_for_anew_each_time(client):
    answer = client.get("/no-signal-worker.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "no-cache" in answer.headers["Cache-Control"]
    assert "worker-src 'self'" in answer.headers["Content-Security-Policy"]
    for script in re.findall(r'"/static/([^"]+)"', answer.text):
        assert finders.find(script), script
    told = json.loads(re.search(r"self\.EVENER = (\{.*\});", answer.text)[1])
    assert told["version"]
    assert told["acts"][0] == {"at": "/bench/*/", "toBench": True}


def test_addresses_are_told_as_patterns():
    assert {act.at for act in ACTS} >= {"/bench/*/", "/bench/*/leave/", "/meter-round/*/"}
    assert pattern_of("machine", ("*",)) == "/machines/*/"
    assert "0" not in "".join(pattern_of(name, args) for name, args in PAGES)


def test_a_phone_is_told_who_is_signed_in_with_a_fresh_token(client):
    assert client.get(reverse("phone-who")).json()["person"] == ""
    person = factories.Mechanic()
    client.force_login(person)
    said = client.get(reverse("phone-who")).json()
    assert said["person"] == str(person.pk)
    assert len(said["token"]) == 64


def test_the_page_of_what_waits_is_the_same_for_everybody(client):
    page = client.get(reverse("no-signal")).text
    person = factories.Mechanic(first_name="Jolanda")
    client.force_login(person)
    for text in (page, client.get(reverse("no-signal")).text):
        assert "What waits on this phone" in text
        assert "Jolanda" not in text
