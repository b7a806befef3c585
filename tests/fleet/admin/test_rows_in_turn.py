"""Rows of a sheet that take each other's place are told of, never a fault of the site."""

from datetime import time

import pytest
from django.urls import reverse

from fleet.models import ShopHours
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(client):
    shop = factories.Shop(name="Cold Fork")
    shop.hours.all().delete()
    for weekday in (0, 1):
        ShopHours.objects.create(shop=shop, weekday=weekday, opens=time(7), closes=time(15))
    client.force_login(factories.Person(role="owner"))
    return shop


def sent(client, shop, rows, gone=()):
    """Send the shop's sheet as it stands, with these weekdays for its rows, last ones new."""
    address = reverse("sheets:fleet_shop_change", args=[shop.pk])
    form = client.get(address).context["adminform"].form
    asked = {name: form[name].value() for name in form.fields}
    asked |= {"hours-TOTAL_FORMS": len(rows), "hours-INITIAL_FORMS": 2,
              "closed_days-TOTAL_FORMS": 0, "closed_days-INITIAL_FORMS": 0}  # fmt: skip
    stood = list(ShopHours.objects.filter(shop=shop).order_by("weekday"))
    for number, weekday in enumerate(rows):
        asked |= {
            f"hours-{number}-id": stood[number].pk if number < 2 else "",
            f"hours-{number}-shop": shop.pk, f"hours-{number}-weekday": weekday,
            f"hours-{number}-opens": "7:00", f"hours-{number}-closes": "15:00",
        }  # fmt: skip
        asked |= {f"hours-{number}-DELETE": "on"} if number in gone else {}
    return client.post(address, {key: "" if it is None else it for key, it in asked.items()})


def weekdays(shop):
    return sorted(ShopHours.objects.filter(shop=shop).values_list("weekday", flat=True))


def test_two_that_swap_their_days_are_told_what_to_do(client, shop):
    answer = sent(client, shop, [1, 0])
    assert answer.status_code == 200
    assert "has that until this is saved: change that one first" in answer.text
    assert weekdays(shop) == [0, 1]


@pytest.mark.parametrize(
    ("rows", "gone", "after"),
    [
        ([1, 1], [1], [1]),  # the first takes the day of the second, which goes
        ([0, 1, 0], [0], [0, 1]),  # a new one takes the day of one that goes
        ([3, 1], [], [1, 3]),
    ],
)
def test_the_place_of_a_deleted_one_can_be_taken(client, shop, rows, gone, after):
    answer = sent(client, shop, rows, gone)
    assert answer.status_code == 302, answer.context["errors"]
    assert weekdays(shop) == after
