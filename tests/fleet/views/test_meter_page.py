"""The page of one meter: its readings, its swap recorded, corrected, undone."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.actions.fit_meters import roll_over
from fleet.models import Meter, Role
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
def meter(mechanic):
    """100 h ten days ago."""
    meter = factories.Meter(machine__tag="Q-1", machine__yard__shop=mechanic.shop)
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=10))
    return meter


SWAP = {"when": "2026-02-25T09:00", "old_last": "130", "new_first": "0"}


def swapped(client, meter):
    assert client.post(reverse("meter-swap", args=[meter.pk]), SWAP).status_code == 302
    return Meter.objects.get(removed_at=None)


def test_a_rollover_is_corrected_as_a_swap_is_and_never_asks_where_it_began(
    client, meter, mechanic
):
    new = roll_over(meter, NOON - timedelta(days=5), 9999.0, by=mechanic, now=NOON)
    page = client.get(reverse("meter", args=[new.pk])).text
    assert "Correct the rollover" in page
    put_right = page.split("Correct the rollover")[1]
    assert "It counts up to, h" in put_right
    assert "The new one started at" not in put_right
    typed = {"when": "2026-02-25T09:00", "old_last": "99999", "why": "five digits"}
    assert client.post(reverse("meter-reswap", args=[new.pk]), typed).status_code == 302
    meter.refresh_from_db()
    assert (meter.last_value, meter.ending) == (99999.0, "rolled")


def test_the_machine_leads_to_the_meter_and_its_readings(client, meter):
    address = reverse("meter", args=[meter.pk])
    assert f'href="{address}"' in client.get(reverse("machine", args=["Q-1"])).text
    assert "100.0 h" in client.get(address).text


def test_a_swap_is_recorded_corrected_and_undone(client, meter):
    new = swapped(client, meter)
    page = client.get(reverse("meter", args=[new.pk])).text
    assert 'value="130"' in page
    typed = SWAP | {"old_last": "125", "why": "slip"}
    assert client.post(reverse("meter-reswap", args=[new.pk]), typed).status_code == 302
    again = Meter.objects.get(removed_at=None)
    meter.refresh_from_db()
    assert meter.last_value == 125
    address = reverse("meter-unswap", args=[again.pk])
    assert "Say why" in client.post(address, {"why": ""}).text
    answer = client.post(address, {"why": "another machine"}, follow=True)
    assert "The swap is undone" in answer.text
    assert "<s><a" in answer.text
    assert list(Meter.objects.all()) == [meter]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"old_last": "50"}, "had shown 100.0 h already"),
        ({"when": "2026-03-09T09:00"}, "in the future"),
        ({"old_last": "many"}, "not a number"),
        ({"when": ""}, "Say when"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(client, meter, typed, words):
    assert words in client.post(reverse("meter-swap", args=[meter.pk]), SWAP | typed).text


def test_the_desk_sees_it_and_swaps_nothing(client, meter, mechanic):
    client.force_login(factories.Person(role=Role.DESK, shop=mechanic.shop))
    assert "Record a swap" not in client.get(reverse("meter", args=[meter.pk])).text
    assert client.post(reverse("meter-swap", args=[meter.pk]), SWAP).status_code == 403
    client.force_login(factories.Mechanic())
    assert client.get(reverse("meter", args=[meter.pk])).status_code == 404
