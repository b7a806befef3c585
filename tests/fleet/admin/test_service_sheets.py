"""The sheets of services and parts."""

from datetime import date

import pytest
from django.urls import reverse

from fleet.models import DeliveryChange, Role
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    person = factories.Person(role=Role.OWNER)
    client.force_login(person)
    return person


def rows(delivery, **given):
    """The sheet of a part with one delivery on it."""
    fields = {
        "number": delivery.part.number, "name": delivery.part.name, "kind": "piece", "cost": 0,
        "deliveries-TOTAL_FORMS": 1, "deliveries-INITIAL_FORMS": 1,
        "movements-TOTAL_FORMS": 0, "movements-INITIAL_FORMS": 0,
        "deliveries-0-id": delivery.pk, "deliveries-0-part": delivery.part_id,
        "deliveries-0-shop": delivery.shop_id, "deliveries-0-quantity": 4,
        "deliveries-0-expected_on": "2026-03-05",
    }  # fmt: skip
    return fields | {f"deliveries-0-{name}": value for name, value in given.items()}


def test_days_of_a_delivery_that_move_stay_on_record(client, manager):
    delivery = factories.Delivery()
    sheet = reverse("sheets:fleet_part_change", args=[delivery.part_id])
    client.post(sheet, rows(delivery, quantity=5))
    assert not DeliveryChange.objects.exists()
    client.post(sheet, rows(delivery, latest_on="2026-03-12", said_by="the carrier"))
    change = DeliveryChange.objects.get()
    assert (change.new_latest_on, change.note, change.by) == (
        date(2026, 3, 12), "the carrier", manager,
    )  # fmt: skip
    delivery.refresh_from_db()
    assert delivery.counted_from == date(2026, 3, 12)


def test_a_latest_day_before_the_expected_one_is_refused(client, manager):
    delivery = factories.Delivery()
    sheet = reverse("sheets:fleet_part_change", args=[delivery.part_id])
    text = client.post(sheet, rows(delivery, latest_on="2026-03-01")).content.decode()
    assert "The latest day is before the expected one." in text
    assert not DeliveryChange.objects.exists()


def test_a_service_that_follows_itself_is_refused_on_its_sheet(client, manager):
    service = factories.Service()
    fields = {"code": service.code, "name": service.name, "minutes": 60, "second_minutes": 0,
              "overdue_cost_per_day": 1, "value": 1, "follows": [service.pk]}  # fmt: skip
    for name in ("steps", "needs", "limits"):
        fields |= {f"{name}-TOTAL_FORMS": 0, f"{name}-INITIAL_FORMS": 0}
    sheet = reverse("sheets:fleet_service_change", args=[service.pk])
    text = client.post(sheet, fields).content.decode()
    assert "A service cannot follow itself" in text
