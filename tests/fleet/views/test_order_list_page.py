"""The order list: what to buy, by when; ordered, received, taken back, each with its trace."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.db.models import Sum
from django.urls import reverse
from openpyxl import load_workbook

from fleet.models import Delivery, LoggedChange, OrderLine, Role, StockMovement
from fleet.queries.parts_of_shop import deliveries_to_come
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    shop = factories.Shop()
    manager = factories.Person(shop=shop)
    client.force_login(manager)
    part = factories.Part(number="OF-1", name="oil filter", lead_days=4)
    return OrderLine.objects.create(
        part=part, shop=shop, quantity=2, need_by=TODAY + timedelta(days=10),
        for_work="Q-1: Engine oil", asked_at=NOON, asked_by=manager,
    )  # fmt: skip


def step(client, line, name, **typed):
    client.post(reverse(f"order-{name}", args=[line.pk]), typed)
    line.refresh_from_db()
    return line.state


def on_shelf():
    return StockMovement.objects.aggregate(Sum("quantity"))["quantity__sum"]


def test_the_page_says_how_many_and_by_which_day_the_first(client, line):
    text = client.get(reverse("order-list")).text
    assert "1 part to order; the first by" in text
    assert line.order_by == TODAY + timedelta(days=6)  # needed in ten days, four on the way
    assert "For Q-1: Engine oil" in text


def test_ordered_and_received_move_deliveries_and_the_shelf_and_each_is_taken_back(client, line):
    expected = (TODAY + timedelta(days=5)).isoformat()
    assert step(client, line, "ordered", expected_on=expected) == "ordered"
    assert deliveries_to_come(line.shop).get().quantity == 2
    for _ in range(2):  # pressed twice it lies there once
        assert step(client, line, "received") == "received"
    assert on_shelf() == 2
    assert not deliveries_to_come(line.shop)
    assert step(client, line, "back") == "ordered"
    assert on_shelf() == 0
    assert deliveries_to_come(line.shop).count() == 1
    assert step(client, line, "back") == "to order"
    assert not deliveries_to_come(line.shop)
    assert Delivery.objects.count() == 1  # it stays on record
    assert [c.act for c in LoggedChange.objects.filter(kind="order line").order_by("pk")] == [
        "ordered", "received", "taken back", "taken back",
    ]  # fmt: skip


def test_what_is_not_wanted_leaves_the_list_and_may_come_back(client, line):
    assert step(client, line, "drop") == "dropped"
    assert "Nothing has to be ordered" in client.get(reverse("order-list")).text
    assert step(client, line, "back") == "to order"


@pytest.mark.parametrize("day", ["", "soon", "2020-01-01"])
def test_a_day_that_cannot_be_is_refused(client, line, day):
    assert step(client, line, "ordered", expected_on=day) == "to order"


def test_the_file_has_a_row_a_line_and_no_formula(client, line):
    line.for_work = "=cmd()"
    line.save()
    rows = client.get(reverse("order-file")).text.splitlines()
    assert rows[1].startswith("OF-1,oil filter,2,2026-03-12,2026-03-08,to order,")
    assert rows[1].endswith(",'=cmd()")


def test_the_same_as_a_workbook_whose_text_is_text(client, line):
    line.for_work = "=cmd()"
    line.save()
    sheet = load_workbook(BytesIO(client.get(reverse("order-file"), {"as": "xlsx"}).content)).active
    _, row = sheet.iter_rows()
    assert [row[n].value for n in (0, 1, 5, 7)] == ["OF-1", "oil filter", "to order", "=cmd()"]
    assert row[3].value.date() == date(2026, 3, 12)
    assert row[7].data_type == "s"
    assert "as=xlsx" in client.get(reverse("order-list")).text


def test_a_mechanic_looks_and_does_not_order_and_the_desk_does_neither(client, line):
    client.force_login(factories.Mechanic(shop=line.shop))
    text = client.get(reverse("order-list")).text
    assert "oil filter" in text
    assert "Received" not in text
    assert client.post(reverse("order-drop", args=[line.pk])).status_code == 403
    client.force_login(factories.Person(shop=factories.Shop(name="elsewhere")))
    assert client.post(reverse("order-ordered", args=[line.pk])).status_code == 404
    client.force_login(factories.Person(role=Role.DESK, shop=line.shop))
    assert client.get(reverse("order-list")).status_code == 403
