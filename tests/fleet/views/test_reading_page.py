"""The page of one reading, and the way to put it right."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Reading, Role
from fleet.queries.standing_readings import standing
from tests import factories
from tests.factories import NOON


@pytest.fixture
def desk(client, db):
    person = factories.Person(role=Role.DESK)
    client.force_login(person)
    return person


@pytest.fixture
def read(desk):
    """412.0 h on Monday 2 March, after 400.0 h the day before."""
    meter = factories.Meter(machine__tag="Q-12", machine__yard__shop=desk.shop)
    factories.Reading(meter=meter, value=400.0, read_at=NOON - timedelta(days=1))
    return factories.Reading(meter=meter, value=412.0, read_at=NOON + timedelta(seconds=30))


def send(client, reading, **fields):
    data = {"value": "412", "when": "2026-03-02T12:00", "note": ""} | fields
    return client.post(reverse("reading", args=[reading.pk]), data)


def test_it_says_what_was_read_and_how(client, read):
    page = client.get(reverse("reading", args=[read.pk]))
    assert "412.0 h" in page.text
    assert 'value="2026-03-02T12:00"' in page.text


def test_a_correction_stands_and_keeps_the_time_to_the_second(client, desk, read):
    assert send(client, read, value="410").status_code == 302
    better = standing().latest("read_at")
    assert (better.value, better.read_at, better.read_by) == (410.0, read.read_at, desk)
    page = client.get(reverse("reading", args=[read.pk]))
    assert "It was corrected" in page.text


def test_a_wrong_time_is_put_right(client, read):
    send(client, read, when="2026-03-02T09:00")
    assert standing().latest("read_at").read_at == NOON - timedelta(hours=3)


def test_an_odd_correction_asks_whether_it_is_so(client, read):
    answer = send(client, read, value="200")
    assert "would be 200 h back" in answer.text
    assert "It really shows that" in answer.text
    assert send(client, read, value="200", answer="really_so").status_code == 302
    assert standing().latest("read_at").really_so


def test_striking_out_asks_why(client, read):
    assert "Say why" in send(client, read, answer="strike").text
    assert send(client, read, answer="strike", note="wrong machine").status_code == 302
    assert standing().count() == 1
    assert Reading.objects.count() == 3
    assert "struck out: wrong machine" in client.get(reverse("reading", args=[read.pk])).text


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"value": "abc"}, "is not a number"),
        ({"value": ""}, "No reading is given"),
        ({"when": "soon"}, "is not a date"),
        ({"when": "2999-01-01T08:00"}, "is in the future"),
    ],
)
def test_what_cannot_be_gets_a_sentence(client, read, fields, words):
    assert words in send(client, read, **fields).text
    assert Reading.objects.count() == 2


def test_of_another_shop_it_is_not_found(client, read):
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(reverse("reading", args=[read.pk])).status_code == 404


def test_signing_in_is_asked_for(client, read):
    client.logout()
    assert client.get(reverse("reading", args=[read.pk])).status_code == 302
