"""No sheet rewrites or deletes a fact: first meter values, stock movements, readings, history."""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from fleet.admin.set_up_site import site
from fleet.models import Machine, Meter, Reading, Skill, StockMovement
from tests import factories
from tests.factories import NOON
from tests.pages import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    person = factories.Person(role="owner", shop__time_zone="America/Denver")
    client.force_login(person)
    return person


def sheet(row, what="change"):
    return reverse(f"sheets:fleet_{row._meta.model_name}_{what}", args=[row.pk])


def empty(*names):
    return {
        f"{name}-{end}": 0 for name in names for end in ("TOTAL_FORMS", "INITIAL_FORMS")
    }  # fmt: skip


def test_a_first_meter_value_is_shown_and_not_changed(client, manager):
    meter = factories.Meter(first_value=12.0, machine__tag="MX-02")
    machine = meter.machine
    page = client.get(sheet(machine))
    assert "12.0" in words(page)
    assert 'name="meters-0-first_value"' not in page.text
    data = {
        "tag": "MX-02", "makeup": machine.makeup_id, "yard": machine.yard_id, "duty_factor": "1",
        "started_on": "2025-01-01", "notes": "kept",
        **empty("alterations", "storages"),
        "meters-TOTAL_FORMS": 1, "meters-INITIAL_FORMS": 1, "meters-0-id": meter.pk,
        "meters-0-machine": machine.pk, "meters-0-kind": "hours", "meters-0-first_value": "999",
        "meters-0-fitted_at_0": "2025-01-01", "meters-0-fitted_at_1": "00:00",
        "meters-0-DELETE": "on",
    }  # fmt: skip
    client.post(sheet(machine), data)
    machine.refresh_from_db()
    assert machine.notes == "kept"  # so the form was taken
    assert Meter.objects.get().first_value == 12.0


def test_a_stock_movement_is_shown_and_not_changed(client, manager):
    moved = StockMovement.objects.create(
        part=factories.Part(number="F-1"), shop=manager.shop, quantity=5,
        reason=StockMovement.Reason.COUNT, at=NOON,
    )  # fmt: skip
    page = client.get(sheet(moved.part))
    assert 'name="movements-0-quantity"' not in page.text
    data = {
        "number": "F-1", "name": "air filter", "kind": "piece", "cost": "1",
        **empty("deliveries"),
        "movements-TOTAL_FORMS": 1, "movements-INITIAL_FORMS": 1, "movements-0-id": moved.pk,
        "movements-0-part": moved.part.pk, "movements-0-quantity": "900",
        "movements-0-DELETE": "on",
    }  # fmt: skip
    client.post(sheet(moved.part), data)
    moved.part.refresh_from_db()
    assert moved.part.name == "air filter"
    assert StockMovement.objects.get().quantity == 5


def test_a_reading_is_looked_at_alone(client, manager):
    reading = factories.Reading(value=100.0)
    client.post(sheet(reading), {"value": "1"})
    assert client.post(sheet(reading, "delete"), {"post": "yes"}).status_code in (200, 403)
    assert Reading.objects.get().value == 100.0


def test_a_machine_with_history_is_not_deleted_and_the_sheet_says_why(client, manager):
    reading = factories.Reading(meter__machine__tag="MX-02")
    machine = reading.meter.machine
    page = client.post(sheet(machine, "delete"), {"post": "yes"})
    assert "MX-02 has 1 reading and 1 meter, so it stays" in words(page).replace(
        "1 meter and 1 reading", "1 reading and 1 meter"
    )
    assert Machine.objects.exists()


def test_what_nothing_has_come_of_is_deleted(client, manager):
    skill = factories.Skill(name="welding")
    client.post(sheet(skill, "delete"), {"post": "yes"})
    assert not Skill.objects.exists()


def test_a_skill_that_somebody_holds_stays(client, manager):
    skill = factories.Mechanic().skills.get()
    assert "1 skill held" in words(client.post(sheet(skill, "delete"), {"post": "yes"}))
    assert Skill.objects.exists()


def test_nothing_is_deleted_many_at_once(client, manager):
    factories.Machine()
    chosen = {"action": "delete_selected", "_selected_action": [Machine.objects.get().pk]}
    client.post(reverse("sheets:fleet_machine_changelist"), chosen | {"post": "yes"})
    assert Machine.objects.exists()
    for model_sheet in site._registry.values():
        request = client.get(reverse("sheets:index")).wsgi_request
        assert "delete_selected" not in model_sheet.get_actions(request)


def test_times_are_read_and_shown_by_the_shops_clock(client, manager):
    """The evening of 28 November in Denver is the 29th by UTC."""
    evening = datetime(2025, 11, 29, 2, tzinfo=UTC)
    meter = factories.Meter(machine__tag="MX-02", fitted_at=evening)
    assert "Nov. 28, 2025" in words(client.get(sheet(meter.machine)))
