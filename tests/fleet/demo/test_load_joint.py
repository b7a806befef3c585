"""What the demo tells of joint and long work: circles nowhere, and every kind is there once."""

import pytest

from fleet.circles import circle
from fleet.models import Delivery, Finding, Person, Progress, Service, Skill
from tests.factories import key_of
from tests.fleet.demo.conftest import TODAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def test_a_road_test_follows_the_brakes_and_both_are_called_for_on_one_machine():
    road = Service.objects.get(code="road-test")
    assert road.follows.filter(code="brakes-reline").exists()
    called = Finding.objects.filter(calls_for__code__in=["road-test", "brakes-reline"])
    assert called.values("machine").distinct().count() == 1


def test_no_service_of_the_demo_waits_for_itself():
    follows: dict[int, set[int]] = {}
    for one, other in Service.follows.through.objects.values_list(
        "from_service_id", "to_service_id"
    ):
        follows.setdefault(one, set()).add(other)
    assert follows
    assert not any(circle(follows, start) for start in follows)
    assert Service.objects.filter(apart_from__isnull=False).count() == 2  # each of the other


def test_a_lift_is_inspected_by_two_of_whom_one_holds_a_certificate():
    annual = Service.objects.get(code="lift-annual")
    assert annual.second_minutes > 0
    assert annual.skill == Skill.objects.get(by_certificate=True)


def test_an_overhaul_is_under_way_on_a_machine_that_is_not_out():
    row = Progress.objects.get()
    overhaul = Service.objects.get(code="engine-overhaul")
    assert overhaul.several_days
    assert row.work_key == key_of(row.machine, "engine-overhaul")
    assert row.minutes + row.minutes_left == overhaul.minutes
    assert not row.machine.bookings.filter(first_day__lte=TODAY, last_day__gte=TODAY).exists()


def test_a_delivery_can_slip_and_says_who_said_so():
    row = Delivery.objects.get(latest_on__isnull=False)
    row.full_clean()
    assert row.latest_on > row.expected_on > TODAY
    assert row.said_by


def test_the_lent_hand_cannot_sign_in():
    hands = [person for person in Person.objects.all() if person.from_outside]
    assert [str(person) for person in hands] == ["Runa Lund"]
