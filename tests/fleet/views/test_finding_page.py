"""The page of one finding: settled, corrected, struck, opened again."""

import pytest
from django.urls import reverse

from fleet.models import Finding, Role
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    person = factories.Mechanic()
    client.force_login(person)
    return person


@pytest.fixture
def found(mechanic):
    return factories.Finding(machine__tag="Q-12", machine__yard__shop=mechanic.shop)


def address(found, act=""):
    return reverse(f"finding{act}", args=[found.pk])


def test_it_is_settled_with_a_word_on_what_was_done(client, found, mechanic):
    assert "what was done" in client.post(address(found, "-settle"), {"why": ""}).text
    client.post(address(found, "-settle"), {"why": "new hose"})
    found.refresh_from_db()
    assert (found.settled_by, found.settled_note) == (mechanic, "new hose")
    client.post(address(found, "-reopen"), {"why": "it leaks again"})
    found.refresh_from_db()
    assert found.settled_at is None


def test_what_it_said_is_struck_through_on_its_page(client, found):
    typed = {"text": "belt chafed", "gravity": "note", "minutes": "20"}
    assert "Say why it is corrected" in client.post(address(found), typed).text
    assert client.post(address(found), typed | {"why": "misread"}).status_code == 302
    page = client.get(address(found)).text
    assert "<s>hydraulic hose chafed</s>, now belt chafed" in page


def test_a_struck_one_stays_on_the_machine_struck_through(client, found):
    hold = factories.Hold(machine=found.machine, finding=found)
    answer = client.post(address(found, "-strike"), {"why": "not so"}, follow=True)
    assert f"Q-12 is still held: {hold.reason}" in answer.text
    assert "<s>hydraulic hose chafed</s>" in client.get(reverse("machine", args=["Q-12"])).text


@pytest.mark.parametrize("act", ["", "-strike", "-reopen"])
def test_the_desk_may_put_right_only_what_it_noted_that_day(client, found, mechanic, act):
    desk = factories.Person(role=Role.DESK, shop=mechanic.shop)
    client.force_login(desk)
    typed = {"text": "x", "gravity": "note", "minutes": "5", "why": "not so"}
    assert client.post(address(found, act), typed).status_code == 403
    Finding.objects.update(seen_by=desk)
    assert client.post(address(found, act), typed).status_code == 302


def test_one_of_another_shop_is_not_found(client, found):
    client.force_login(factories.Mechanic())
    assert client.get(address(found)).status_code == 404


def test_minutes_that_cannot_be_are_said_at_their_field(client, found):
    typed = {"text": "x", "gravity": "note", "minutes": "0"}
    assert "at least one minute" in client.post(address(found), typed).text
