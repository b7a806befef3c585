"""The shelf: counted, counts corrected, movements struck."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.actions.count_stock import count_shelf, on_hand
from fleet.models import LoggedChange, Role, StockMovement
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
def part():
    return factories.Part(name="oil filter")


def left(part, mechanic):
    return on_hand(part.pk, mechanic.shop_id)


def test_what_was_counted_is_what_lies_there(client, mechanic, part):
    assert "never counted" in client.get(reverse("shelf")).text
    answer = client.post(reverse("shelf-part", args=[part.pk]), {"counted": "7"})
    assert answer.status_code == 302
    assert left(part, mechanic) == 7


def test_a_fluid_is_counted_in_the_units_of_the_shop(client, mechanic):
    oil = factories.Part(kind="fluid")
    client.post(reverse("shelf-part", args=[oil.pk]), {"counted": "2"})
    assert left(oil, mechanic) == pytest.approx(2 * 946.352946)


@pytest.mark.parametrize("counted", ["", "seven", "-1"])
def test_no_count_is_said_at_its_field(client, mechanic, part, counted):
    answer = client.post(reverse("shelf-part", args=[part.pk]), {"counted": counted})
    assert answer.status_code == 200
    assert not StockMovement.objects.exists()


def test_a_count_typed_wrong_leaves_nothing_behind_and_stays_in_sight(client, mechanic, part):
    count = count_shelf(part, mechanic.shop, 70, by=mechanic, now=NOON - timedelta(hours=2))
    StockMovement.objects.create(
        part=part, shop=mechanic.shop, quantity=-2, reason="used", at=NOON - timedelta(hours=1)
    )
    typed = {"counted": "7", "note": "slipped"}
    assert client.post(reverse("shelf-recount", args=[count.pk]), typed).status_code == 302
    assert left(part, mechanic) == 5
    page = client.get(reverse("shelf-part", args=[part.pk])).text
    assert "<s><strong>70</strong>, count corrected: 70 counted</s>" in page
    assert LoggedChange.objects.get().reason == "slipped"


def test_a_struck_movement_goes_back_once(client, mechanic, part):
    count = count_shelf(part, mechanic.shop, 4, by=mechanic, now=NOON)
    address = reverse("shelf-strike", args=[count.pk])
    assert "Say why" in client.post(address, {"why": ""}).text
    for _ in range(2):
        client.post(address, {"why": "another shelf"})
    assert left(part, mechanic) == 0
    assert StockMovement.objects.count() == 2


def test_a_later_count_stands_when_one_before_it_is_struck(client, mechanic, part):
    first = count_shelf(part, mechanic.shop, 4, by=mechanic, now=NOON - timedelta(hours=2))
    count_shelf(part, mechanic.shop, 9, by=mechanic, now=NOON - timedelta(hours=1))
    client.post(reverse("shelf-strike", args=[first.pk]), {"why": "another shelf"})
    assert left(part, mechanic) == 9


def test_what_an_entry_took_goes_with_the_entry(client, mechanic, part):
    record = factories.ServiceRecord()
    used = StockMovement.objects.create(
        part=part, shop=mechanic.shop, quantity=-2, reason="used", at=NOON, record=record
    )
    answer = client.post(reverse("shelf-strike", args=[used.pk]), {"why": "no"})
    assert "put that entry right instead" in answer.text


def test_the_desk_counts_nothing_and_another_shop_finds_nothing(client, mechanic, part):
    count = count_shelf(part, mechanic.shop, 4, by=mechanic, now=NOON)
    client.force_login(factories.Person(role=Role.DESK, shop=mechanic.shop))
    assert client.get(reverse("shelf")).status_code == 403
    client.force_login(factories.Mechanic())
    answer = client.post(reverse("shelf-strike", args=[count.pk]), {"why": "no"})
    assert answer.status_code == 404
