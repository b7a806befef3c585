"""Nights and copies, for the manager."""

import pytest

from fleet.models import Role
from scheduling.models import OutboxEntry
from scheduling.outbox.entries import sweep
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
FAILED = {
    "ok": False, "seconds": 4.25, "missing": ["Nobody belongs to this shop yet."],
    "stages": {
        "refresh": {"seconds": 1.5},
        "plan": {"failed": "The database was busy.", "seconds": 2.75},
    },
}  # fmt: skip


@pytest.fixture
def manager(client):
    person = factories.Person()
    client.force_login(person)
    return person


def test_it_says_that_all_went_well_and_how_long_each_stage_took(client, manager):
    report = {"ok": True, "seconds": 9.5, "stages": {"plan": {"seconds": 8.5}}}
    consequences.NightlyRun(shop=manager.shop, report=report)
    consequences.KeptCopy(read_back_at=NOON)
    page = client.get("/nights/").content.decode()
    assert "The last night went well, and the copy of the site can be read back." in page
    assert "took 9.5 s" in page
    assert 'Plan of the shop days: <span class="num">8.5 s' in page
    assert "Nothing: all that was owed is done." in page


def test_it_says_in_words_what_went_wrong_and_what_is_owed(client, manager):
    consequences.NightlyRun(shop=manager.shop, report=FAILED)
    consequences.OutboxEntry(
        kind="nightly", payload={"shop": manager.shop.pk}, attempts=3, error="plan: it was busy"
    )
    consequences.KeptCopy(error="There is no room left on the disk.")
    page = client.get("/nights/").content.decode()
    assert f"Something went wrong in the night of {manager.shop}; it is tried again" in page
    assert "<strong>Plan of the shop days:</strong> The database was busy." in page
    assert "It waits for its next try</strong>, after 3 so far: plan: it was busy" in page
    assert "1 × nightly run" in page
    assert "could not be made: There is no room left on the disk." in page


def test_the_button_owes_the_night_once_and_tries_what_waits_at_once(client, manager, monkeypatch):
    monkeypatch.setattr("scheduling.outbox.entries.ring", lambda *how: None)
    monkeypatch.setattr("scheduling.actions.ask_night.ring", lambda *how: None)
    url = f"/nights/{manager.shop.pk}/run/"
    assert client.post(url).status_code == 302
    client.post(url)
    entry = OutboxEntry.objects.get()
    assert entry.payload == {"shop": manager.shop.pk}
    waits = entry.made_at.replace(year=entry.made_at.year + 1)
    OutboxEntry.objects.update(due_at=waits, error="busy")
    client.post(url)
    assert OutboxEntry.objects.get().due_at < waits
    assert sweep(waits) == 1


@pytest.mark.parametrize("role", [Role.DESK, Role.MECHANIC])
def test_others_neither_see_nor_press(client, role):
    person = factories.Person(role=role)
    client.force_login(person)
    assert client.get("/nights/").status_code == 403
    assert client.post(f"/nights/{person.shop.pk}/run/").status_code == 403


def test_a_manager_of_one_shop_presses_for_no_other(client, manager):
    other = factories.Shop()
    assert client.post(f"/nights/{other.pk}/run/").status_code == 404
    assert client.get(f"/nights/{manager.shop.pk}/run/").status_code == 405
    assert not OutboxEntry.objects.exists()


def test_signed_out_it_leads_to_the_sign_in(client):
    assert client.get("/nights/").status_code == 302


def test_a_shop_whose_zone_is_not_known_does_not_shut_the_page(client, manager):
    type(manager.shop).objects.update(time_zone="Mars/Olympus")
    consequences.NightlyRun(shop=manager.shop, day=TODAY)
    assert client.get("/nights/").status_code == 200


def test_its_queries_do_not_grow_with_the_nights(client, manager, django_assert_max_num_queries):
    for n in range(10):
        consequences.NightlyRun(shop=manager.shop, day=TODAY.replace(day=n + 1), report=FAILED)
        consequences.KeptCopy(day=TODAY.replace(day=n + 1))
    with django_assert_max_num_queries(12):
        client.get("/nights/")
