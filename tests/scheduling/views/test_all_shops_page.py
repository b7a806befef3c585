"""All shops on one page.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Role
from scheduling.models import State
from tests import consequences, factories
from tests.factories import TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
DAY = timedelta(days=1)


@pytest.fixture
def shops():
    return [factories.Shop(name="Cold Fork"), factories.Shop(name="Dry Creek")]


def overdue_machine(shop, first=TODAY):
    machine = factories.Machine(yard__shop=shop)
    consequences.MachineState(machine=machine, state=State.OVERDUE)
    points = [consequences.DuePoint(machine=machine, state=State.OVERDUE) for _ in range(2)]
    consequences.Block(machine=machine, due_point=points[0])
    return factories.Booking(machine=machine, first_day=first, last_day=first + DAY)


def page(client):
    return client.get(reverse("all-shops"))


def test_the_owner_sees_how_all_shops_stand_those_with_most_to_decide_first(client, shops):
    cold, dry = shops
    sign_in(client, Role.OWNER, shops[0])
    overdue_machine(cold, TODAY + 4 * DAY)
    booking = overdue_machine(dry)
    held = factories.Machine(yard__shop=cold)
    consequences.MachineState(machine=held, state=State.HELD)
    consequences.DuePoint(machine=held, state=State.OVERDUE)  # held: its hold has to go first
    response = page(client)
    assert answer(response) == (
        "2 shops: 2 machines overdue, 1 held, 2 bookings at risk with no way yet, 1 of them going"
        " out today."
    )
    assert [one.shop for one in response.context["page"].shops] == [dry, cold]
    said = words(response)
    assert "Dry Creek: going out today with no way yet" in said
    assert f"{booking.machine.tag} {booking.customer}" in said


def test_each_row_agrees_with_the_yard_of_its_shop(client, shops):
    sign_in(client, Role.OWNER, shops[0])
    for _ in range(3):
        overdue_machine(shops[0])
    for one in page(client).context["page"].shops:
        yard = client.get(f"{reverse('yard')}?shop={one.shop.pk}").context["page"]
        assert one.overdue == len(yard.overdue)
        assert len(one.no_way) == len(yard.at_risk.no_way)


def test_a_manager_of_one_shop_has_its_yard_alone(client, shops):
    sign_in(client, shop=shops[0])
    assert page(client).url == reverse("yard")
    assert reverse("all-shops") not in client.get(reverse("yard")).content.decode()


def test_the_yard_leads_there_where_there_are_several(client, shops):
    sign_in(client, Role.OWNER, shops[0])
    assert reverse("all-shops") in client.get(reverse("yard")).content.decode()


@pytest.mark.parametrize("number", [2, 9])
def test_the_queries_do_not_grow_with_the_machines(
    client, shops, number, django_assert_num_queries
):
    sign_in(client, Role.OWNER, shops[0])
    for _ in range(number):
        for shop in shops:
            overdue_machine(shop)
    with django_assert_num_queries(25):
        assert page(client).status_code == 200
