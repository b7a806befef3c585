"""The manager's page.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import HandOver, ReadingToMend
from scheduling.models import Block, NightlyRun, State
from tests import consequences, factories
from tests.complete_shop import complete
from tests.factories import NOON, TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return factories.Shop(name="Cold Fork")


def page(client, query=""):
    return client.get(reverse("yard") + query)


def machine_in(shop, state, **facts):
    machine = factories.Machine(yard__shop=shop, **facts)
    consequences.MachineState(machine=machine, state=state)
    return machine


def overdue_machine(shop):
    machine = machine_in(shop, State.OVERDUE)
    point = consequences.DuePoint(
        machine=machine,
        state=State.OVERDUE,
        meter_kind="hours",
        remaining=-31.0,
        interval=factories.Interval(makeup=machine.makeup),
    )
    booking = factories.Booking(machine=machine)
    consequences.Block(machine=machine, due_point=point)
    return machine, booking


def test_the_first_line_is_the_sentence_of_the_day(client, shop):
    sign_in(client, shop=shop)
    overdue_machine(shop)
    machine_in(shop, State.HELD)
    assert answer(page(client)) == "1 machine overdue, 1 held, 1 booking at risk with no way yet."


def test_a_calm_day_is_said_to_be_calm(client, shop):
    sign_in(client, shop=shop)
    machine_in(shop, State.CLEAR)
    assert answer(page(client)) == "Nothing overdue, nothing held, every booking has its way."


def test_the_overdue_list_says_how_far_past_and_what_is_blocked(client, shop):
    sign_in(client, shop=shop)
    machine, booking = overdue_machine(shop)
    shown = words(page(client))
    assert machine.tag in shown
    assert "31 h" in shown
    assert f"{booking.customer}, Thu 5 Mar, in 3 days" in shown
    assert "Ways out, with what each costs" in shown


def test_one_line_a_machine_opens_into_its_services(client, shop):
    sign_in(client, shop=shop)
    machine, _ = overdue_machine(shop)
    for _ in range(2):
        consequences.DuePoint(machine=machine, state=State.OVERDUE)
    response = page(client)
    assert answer(response).startswith("1 machine overdue")
    assert len(response.context["overdue"]) == 1
    assert "and 2 more" in words(response)


def test_what_is_planned_in_time_and_what_is_out_are_groups_of_their_own(client, shop):
    sign_in(client, shop=shop)
    planned = factories.Booking(machine=machine_in(shop, State.CLEAR))
    falls = {"service": 1, "day": "2026-03-06", "planned": "2026-03-03"}
    consequences.Block(
        machine=planned.machine, kind=Block.Kind.FALLS_DUE, booking=planned, works=[falls],
        first_day=planned.first_day, last_day=planned.last_day,
    )  # fmt: skip
    _, gone = overdue_machine(shop)
    HandOver.objects.create(booking=gone, direction="out", at=NOON)
    response = page(client)
    assert "0 bookings at risk with no way yet" in answer(response)
    assert "1 planned in time" in words(response)
    assert "1 out now" in words(response)
    for name, booking, said in (
        ("in-time", planned, "1 planned in time."), ("out-now", gone, "1 out now."),
    ):  # fmt: skip
        address = reverse("risk-group", args=[name])
        assert f'hx-get="{address}' in response.content.decode()
        listed = client.get(address)
        assert answer(listed) == said
        assert booking.customer in words(listed)
        part = client.get(address, headers={"HX-Request": "true"}).content.decode()
        assert "<html" not in part
    assert client.get(reverse("risk-group", args=["nonsense"])).status_code == 404


def test_yard_and_shop_days_say_alike_whether_the_shop_keeps_up(client, shop):
    sign_in(client, shop=shop)
    machine_in(shop, State.CLEAR)
    lost = [factories.Booking(machine=machine_in(shop, State.CLEAR)).pk for _ in range(4)]
    consequences.Plan(shop=shop, late_work=102, put_off_work=24, given_up=lost, total=9)
    said = (
        "The shop does not keep up: 102 pieces of work come after their due date; 24 are put"
        " beyond the plan; 4 bookings are given up."
    )
    assert said in words(page(client))
    assert said in words(client.get(reverse("shop-days")))


def test_it_says_when_it_was_worked_out_and_how_good_the_plan_is(client, shop):
    sign_in(client, shop=shop)
    complete(shop)
    assert "No nightly run has finished yet" in words(page(client))
    NightlyRun.objects.create(shop=shop, day=TODAY, started_at=NOON, finished_at=NOON)
    consequences.Plan(shop=shop, gap=0.031, missing="no mechanic with the skill electrical")
    shown = words(page(client))
    assert "Worked out Mon 2 Mar, 12:00" in shown
    assert "at most 3.1 % above the cheapest possible" in shown
    assert "no mechanic with the skill electrical" in shown


def test_a_plan_without_a_proof_says_so_instead_of_a_hundred_percent(client, shop):
    sign_in(client, shop=shop)
    complete(shop)
    consequences.Plan(shop=shop, gap=1.0)
    assert "not yet known to be close to the cheapest possible" in words(page(client))


def test_twelve_weeks_come_as_a_part_of_the_page_or_on_one_of_their_own(client, shop):
    sign_in(client, shop=shop)
    machine = machine_in(shop, State.CLEAR)
    consequences.DuePoint(machine=machine, p50=TODAY + 9 * DAY, service__minutes=120)
    address = f"{reverse('work-weeks')}?shop={shop.pk}"
    assert f'hx-get="{address}"' in page(client).content.decode()
    assert answer(client.get(address)).startswith("2 hours of work in 12 weeks against 0 hours")
    part = client.get(address, headers={"HX-Request": "true"}).content.decode()
    assert "By skill, over the 12 weeks" in part
    assert "<html" not in part
    sign_in(client, "mechanic", shop=shop)
    assert client.get(address).status_code == 403


def test_costs_come_as_a_part_of_the_page_or_on_one_of_their_own(client, shop):
    sign_in(client, shop=shop)
    machine = machine_in(shop, State.CLEAR)
    factories.ServiceRecord(machine=machine, cost=120, done_at=NOON - DAY)
    address = reverse("year-costs")
    assert f'hx-get="{address}?"' in page(client).content.decode()
    kind = machine.makeup.machine_class
    assert answer(client.get(address)) == f"Cost an hour, over 12 months: {kind} costs most."
    part = client.get(address, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    sign_in(client, "desk", shop=shop)
    assert client.get(address).status_code == 403


def test_a_long_list_of_overdue_machines_has_pages_that_keep_the_address(client, shop):
    sign_in(client, shop=shop)
    for _ in range(13):
        overdue_machine(shop)
    response = page(client, f"?shop={shop.pk}")
    assert answer(response).startswith("13 machines overdue")
    assert f"?shop={shop.pk}&amp;overdue=2#overdue" in response.content.decode()
    assert len(page(client, "?overdue=2").context["overdue"]) == 1


def test_readings_to_mend_are_counted_with_the_way_there(client, shop):
    sign_in(client, shop=shop)
    machine_in(shop, State.CLEAR)
    for number in range(2):
        ReadingToMend.objects.create(
            fingerprint=str(number),
            source="file",
            reason="backwards",
            sentence="It ran back.",
            entered_at=NOON,
        )
    response = page(client)
    assert "2 readings look wrong and wait for someone to look at them" in words(response)
    assert reverse("readings-to-mend") in response.content.decode()


def test_an_empty_fleet_says_what_to_do_first(client, shop):
    sign_in(client, shop=shop)
    response = page(client)
    assert answer(response) == "No machine works here yet."
    assert reverse("set-up") in response.content.decode()


def test_without_a_shop_it_says_what_to_do_first(client):
    person = sign_in(client)
    shop, person.shop = person.shop, None
    person.save()
    shop.delete()
    assert answer(page(client)) == "No shop is set up yet."


def test_other_shops_machines_do_not_show(client, shop):
    sign_in(client, shop=shop)
    machine_in(shop, State.CLEAR)
    elsewhere, _ = overdue_machine(factories.Shop())
    assert elsewhere.tag not in words(page(client))


def test_a_manager_of_all_shops_may_choose_one(client, shop):
    person = sign_in(client)
    person.shop = None
    person.save()
    machine_in(shop, State.HELD)
    assert "Cold Fork, Mon 2 Mar" in words(page(client, f"?shop={shop.pk}"))


@pytest.mark.parametrize("value", ["999999", "abc", "-1", "1;drop"])
def test_a_shop_that_is_not_there_is_said(client, shop, value):
    sign_in(client, shop=shop)
    response = page(client, f"?shop={value}")
    assert response.status_code == 200
    assert "There is no such shop; the first one is shown." in words(response)


@pytest.mark.parametrize(
    "query",
    [
        "?overdue=nonsense",
        "?overdue=99",
        "?overdue=-1",
    ],
)
def test_any_page_in_the_address_gives_a_page(client, shop, query):
    sign_in(client, shop=shop)
    overdue_machine(shop)
    consequences.DuePoint(machine=machine_in(shop, State.OVERDUE), state=State.OVERDUE)
    assert page(client, query).status_code == 200


@pytest.mark.parametrize("role", ["desk", "mechanic"])
def test_it_is_the_managers_alone(client, role):
    sign_in(client, role)
    response = page(client)
    assert response.status_code == 403
    assert "This page belongs to someone else's work." in words(response)


def test_signed_out_it_asks_to_sign_in(client):
    assert page(client).url == f"{reverse('sign-in')}?next={reverse('yard')}"


QUERIES = 28


@pytest.mark.parametrize("machines", [5, 40])
def test_the_number_of_queries_does_not_grow(client, shop, machines, django_assert_num_queries):
    sign_in(client, shop=shop)
    for _ in range(machines):
        overdue_machine(shop)
    consequences.Plan(shop=shop)
    with django_assert_num_queries(QUERIES):
        assert page(client).status_code == 200
