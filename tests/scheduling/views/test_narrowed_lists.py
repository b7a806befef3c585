"""Yard, class, service and state in the address narrow each list, and its file alike.

Today is Monday 2 March 2026.
"""

import csv
from io import StringIO

import pytest
from django.urls import reverse

from fleet.models import OrderLine
from scheduling.models import State
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.hindsight.list_case import ListCase
from tests.scheduling.queries.test_parts_to_order import DAY, due, filter_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


def rows(client, name, query="", **arguments):
    response = client.get(reverse(name, kwargs={**arguments, "kind": "csv"}) + query)
    return list(csv.DictReader(StringIO(response.content.decode("utf-8-sig"))))


def elsewhere(shop):
    """A yard of the shop in which nothing stands."""
    return factories.Yard(shop=shop, name="Far yard")


@pytest.fixture
def case():
    """Two days of February: oil done on one list's day, grease done off the list."""
    case = ListCase()
    for day in (-20, -6):
        case.keep(day)
    case.did(-20)
    case.grease = factories.Service(name="Grease all points")
    case.did(-6, service=case.grease)
    return case


def test_planned_and_done_by_yard_class_and_service(client, case):
    sign_in(client, "mechanic", case.shop)
    address = reverse("planned-done") + "?month=2026-02"
    assert answer(client.get(address)).endswith("1 of 2.")
    own = f"&yard={case.machine.yard_id}&machine_class={case.machine.makeup.machine_class_id}"
    assert answer(client.get(address + own)).endswith("1 of 2.")
    for query in (f"&yard={elsewhere(case.shop).pk}", f"&service={case.grease.pk}",
                  f"&machine_class={factories.MachineClass().pk}"):  # fmt: skip
        page = client.get(address + query)
        assert answer(page) == "Nothing of what is chosen was on a day's list in Feb 2026."
        assert "those of the whole shop" in words(page)
        assert rows(client, "planned-done-file", f"?month=2026-02&what=on_day{query}") == []
    page = words(client.get(f"{address}&service={case.grease.pk}"))
    assert "The work chosen came to" in page
    assert "lists of the past do not say in which state a machine was" in page
    links = client.get(address + own).content.decode()
    assert f"month=2026-02&amp;yard={case.machine.yard_id}" in links


def test_work_done_off_the_list_is_in_the_file_too(client, case):
    sign_in(client, "mechanic", case.shop)
    (row,) = rows(client, "planned-done-file", "?month=2026-02&what=beside")
    assert (row["machine"], row["work"]) == (case.machine.tag, "Grease all points")
    assert row["done"] == case.day(-6).isoformat()
    other = f"?month=2026-02&what=beside&yard={elsewhere(case.shop).pk}"
    assert rows(client, "planned-done-file", other) == []


def test_machines_by_a_service_that_falls_due_on_them(client):
    shop = factories.Shop()
    sign_in(client, "mechanic", shop)
    one, _other = (factories.Machine(yard__shop=shop) for _ in range(2))
    point = consequences.DuePoint(machine=one)
    query = f"?service={point.service_id}"
    assert [row["machine"] for row in rows(client, "machines-file", query)] == [one.tag]
    assert client.get(reverse("machines") + query).context["found"] == 1


def test_costs_of_one_service_alone(client):
    shop = factories.Shop()
    sign_in(client, shop=shop)
    machine = factories.Machine(yard__shop=shop)
    oil, grease = factories.Service(name="Oil"), factories.Service()
    for service, cost in ((oil, 90), (grease, 15)):
        factories.ServiceRecord(machine=machine, service=service, done_at=NOON - DAY, cost=cost)
    (row,) = rows(client, "yard-file", what="costs")
    assert float(row["spent"]) == 105
    (row,) = rows(client, "yard-file", f"?service={oil.pk}", what="costs")
    assert float(row["spent"]) == 90


def test_parts_to_order_for_some_machines_or_a_service(client):
    shop = factories.Shop()
    sign_in(client, shop=shop)
    first, second = filter_of(shop, there=0), filter_of(shop, there=0)
    point = due(shop, first, TODAY + 9 * DAY)
    due(shop, second, TODAY + 9 * DAY)
    consequences.MachineState(machine=point.machine, state=State.DUE)
    address = reverse("parts-to-order")
    for query in (f"?yard={point.machine.yard_id}", f"?service={point.service_id}", "?state=due",
                  f"?machine_class={point.machine.makeup.machine_class_id}"):  # fmt: skip
        page = client.get(address + query)
        assert answer(page).startswith("1 part will lack")
        assert "1 of 2 parts shown" in words(page)
        (row,) = rows(client, "parts-to-order-file", query)
        assert row["part number"] == first.number
    client.post(f"{reverse('parts-put-on-list')}?service={point.service_id}")
    assert [line.part for line in OrderLine.objects.all()] == [first]
    assert answer(client.get(f"{address}?service={point.service_id}")) == (
        "Nothing lacks for what is chosen, in the next 12 weeks."
    )


def test_a_yard_of_another_shop_is_said_to_be_none_of_this_one(client):
    client.force_login(factories.Person(role="manager", is_superuser=True))
    shop, other = factories.Shop(name="Alder"), factories.Shop(name="Zeta")
    consequences.MachineState(machine__yard__shop=shop, state=State.HELD)
    yard = factories.Yard(shop=other)
    for name in ("yard", "parts-to-order", "planned-done"):
        page = client.get(f"{reverse(name)}?shop={shop.pk}&yard={yard.pk}")
        assert "This yard is not of the shop that is shown" in words(page)
    page = client.get(f"{reverse('yard')}?shop={shop.pk}&yard={yard.pk}")
    assert "1 held" in answer(page)  # it does not narrow


def test_who_only_looks_at_a_shop_is_offered_its_yards(client):
    own, seen = factories.Shop(), factories.Shop(name="Zeta")
    yard = factories.Yard(shop=seen, name="Zeta low yard")
    client.force_login(factories.Person(role="manager", shop=own, sees_too=[seen.pk]))
    page = words(client.get(f"{reverse('yard')}?shop={seen.pk}"))
    assert "Zeta low yard" in page
    chosen = client.get(f"{reverse('yard')}?shop={seen.pk}&yard={yard.pk}")
    assert chosen.context["narrowed"]


def test_the_ways_between_the_pages_keep_the_shop(client):
    client.force_login(factories.Person(role="manager", is_superuser=True))
    factories.Shop(name="Alder")
    zeta = factories.Shop(name="Zeta")
    consequences.MachineState(machine__yard__shop=zeta)
    yard = client.get(f"{reverse('yard')}?shop={zeta.pk}").content.decode()
    assert f'href="{reverse("order-list")}?shop=Zeta"' in yard
    assert f'href="{reverse("parts-to-order")}?shop={zeta.pk}"' in yard
    days = client.get(f"{reverse('shop-days')}?shop=Zeta").content.decode()
    assert f'href="{reverse("planned-done")}?shop={zeta.pk}"' in days
    done = client.get(f"{reverse('planned-done')}?shop={zeta.pk}").content.decode()
    assert f'href="{reverse("shop-days")}?shop=Zeta"' in done
