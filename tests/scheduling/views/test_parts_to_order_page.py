"""Parts to order: shown, put onto the order list by a press, kept as a file."""

from csv import DictReader
from io import StringIO

import pytest
from django.urls import reverse

from fleet.models import OrderLine
from tests import factories as make
from tests.factories import TODAY
from tests.pages import at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.queries.test_parts_to_order import DAY, due, filter_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def shop():
    return make.Shop()


def test_it_says_how_many_by_when_for_what_and_at_what_price(client, shop):
    sign_in(client, "manager", shop)
    due(shop, filter_of(shop, there=0, name="air filter"), TODAY + 20 * DAY)
    said = words(client.get(reverse("parts-to-order")))
    assert "1 part will lack in the next 12 weeks; order the first by Wed 18 Mar" in said
    assert "air filter" in said
    assert "All of it costs" in said


def test_a_day_to_order_that_has_gone_by_is_said(client, shop):
    sign_in(client, "manager", shop)
    due(shop, filter_of(shop, there=0), TODAY + DAY)
    assert "1 of them should have been ordered by now" in words(
        client.get(reverse("parts-to-order"))
    )


def test_one_press_puts_one_or_all_on_the_list_and_the_page_has_none_left(client, shop):
    sign_in(client, "manager", shop)
    first, second = filter_of(shop, there=0), filter_of(shop, there=0)
    for part in (first, second):
        due(shop, part, TODAY + 9 * DAY)
    press = reverse("parts-put-on-list")
    client.post(press, {"part": first.pk})
    assert [line.part_id for line in OrderLine.objects.all()] == [first.pk]
    for _ in range(2):
        client.post(press)
    assert {line.part_id: line.quantity for line in OrderLine.objects.all()} == {
        first.pk: 1, second.pk: 1
    }  # fmt: skip
    assert "lasts for the next 12 weeks" in words(client.get(reverse("parts-to-order")))


@pytest.mark.parametrize("part", ["x", "-1", "9" * 40, "1.5"])
def test_a_part_that_cannot_be_is_refused(client, shop, part):
    sign_in(client, "manager", shop)
    assert client.post(reverse("parts-put-on-list"), {"part": part}).status_code == 404


def test_the_file_has_a_row_a_part_and_runs_no_formula(client, shop):
    sign_in(client, "manager", shop)
    due(shop, filter_of(shop, there=0, name="=cmd()"), TODAY + 20 * DAY)
    address = reverse("parts-to-order-file", kwargs={"kind": "csv"})
    text = client.get(address).content.decode("utf-8-sig")
    (row,) = DictReader(StringIO(text))
    assert (row["part"], row["quantity"], row["need by"]) == ("'=cmd()", "1", "2026-03-22")
    assert client.get(address.replace("csv", "pdf")).status_code == 404


@pytest.mark.parametrize("role", ["desk", "mechanic", "hand"])
def test_it_is_the_managers(client, shop, role):
    sign_in(client, role, shop)
    assert client.get(reverse("parts-to-order")).status_code == 403
    assert client.post(reverse("parts-put-on-list")).status_code == 403


def test_the_yard_leads_there(client, shop):
    sign_in(client, "manager", shop)
    assert reverse("parts-to-order") in client.get(reverse("yard")).text
