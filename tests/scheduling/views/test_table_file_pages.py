"""Lists as files, as they stand on their pages.  Today is Monday 2 March 2026."""

import csv
from io import StringIO

import pytest
from django.urls import reverse

from scheduling.models import Block, State
from tests import consequences, factories
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def shop(client):
    shop = factories.Shop()
    sign_in(client, shop=shop)
    return shop


def overdue_machine(shop, **facts):
    machine = factories.Machine(yard__shop=shop, **facts)
    consequences.MachineState(machine=machine, state=State.OVERDUE)
    point = consequences.DuePoint(machine=machine, state=State.OVERDUE)
    factories.Booking(machine=machine, customer="=HYPERLINK(1)")
    consequences.Block(machine=machine, due_point=point)
    return point


def rows(client, name, query="", **arguments):
    response = client.get(reverse(name, kwargs={**arguments, "kind": "csv"}) + query)
    assert response.status_code == 200
    assert "attachment" in response["Content-Disposition"]
    return list(csv.DictReader(StringIO(response.content.decode("utf-8-sig"))))


def test_overdue_and_at_risk_as_they_stand_and_no_formula(client, shop):
    point = overdue_machine(shop)
    (row,) = rows(client, "yard-file", what="overdue")
    assert (row["machine"], row["service"]) == (point.machine.tag, point.service.name)
    (row,) = rows(client, "yard-file", what="at-risk")
    assert (row["group"], row["customer"]) == ("no way yet", "'=HYPERLINK(1)")


def test_yard_class_service_and_state_narrow_page_and_file_alike(client, shop):
    one, other = overdue_machine(shop), overdue_machine(shop)
    kind = one.machine.makeup.machine_class_id
    other_kind = other.machine.makeup.machine_class_id
    assert kind != other_kind or one.machine.yard_id != other.machine.yard_id
    for query in (f"?yard={one.machine.yard_id}", f"?service={one.service_id}"):
        (row,) = rows(client, "yard-file", query, what="overdue")
        assert row["machine"] == one.machine.tag
        assert answer(client.get(reverse("yard") + query)).startswith("1 machine overdue")
        (row,) = rows(client, "yard-file", query, what="at-risk")
        assert row["machine"] == one.machine.tag
    assert rows(client, "yard-file", "?state=held", what="overdue") == []
    assert len(rows(client, "yard-file", "?state=overdue", what="at-risk")) == 2


def test_what_is_not_there_is_said_and_does_not_narrow(client, shop):
    overdue_machine(shop)
    response = client.get(reverse("yard") + "?yard=99999&service=x&state=nonsense")
    assert answer(response).startswith("1 machine overdue")
    assert "This yard is not of the shop that is shown" in words(response)


def test_machines_and_costs_and_planned_and_done(client, shop):
    machine = factories.Machine(yard__shop=shop, tag="Q-9")
    consequences.MachineState(machine=machine, state=State.DUE)
    (row,) = rows(client, "machines-file", "?state=due")
    assert (row["machine"], row["state"]) == ("Q-9", "due")
    assert rows(client, "machines-file", "?state=held") == []
    assert rows(client, "planned-done-file") == []
    assert {row["what"] for row in rows(client, "yard-file", what="costs")} == {"class"}


def test_a_spreadsheet_is_made_too_and_no_other_kind(client, shop):
    made = client.get(reverse("yard-file", kwargs={"what": "overdue", "kind": "xlsx"}))
    assert made.content[:2] == b"PK"
    for what, kind in (("overdue", "pdf"), ("nonsense", "csv")):
        address = reverse("yard-file", kwargs={"what": what, "kind": kind})
        assert client.get(address).status_code == 404


def test_others_get_no_file_of_the_yard(client, shop):
    for role in ("desk", "mechanic"):
        sign_in(client, role, shop=shop)
        address = reverse("yard-file", kwargs={"what": "costs", "kind": "csv"})
        assert client.get(address).status_code == 403
    assert Block.objects.count() == 0
