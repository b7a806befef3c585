"""Which instead: of the class, of those named for it, from other yards, after a shop day."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Booking, Machine, Substitute
from scheduling.availability.counter_facts import Days
from scheduling.models import State
from scheduling.queries.which_instead import which_instead
from tests import consequences, factories
from tests.factories import TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db
DAYS = Days(TODAY + timedelta(days=1), TODAY + timedelta(days=6))


@pytest.fixture
def yard():
    return factories.Yard()


@pytest.fixture
def clear(yard):
    makeup = factories.MakeUp()

    def make(**more):
        machine = factories.Machine(**({"makeup": makeup, "yard": yard} | more))
        consequences.MachineState(machine=machine)
        return machine

    return make


def left(machine, hours, **more):
    consequences.DuePoint(
        machine=machine, remaining=hours, meter_kind="hours",
        p50=TODAY + timedelta(days=60), **more,
    )  # fmt: skip
    return machine


def instead(machine, days=DAYS):
    return which_instead(machine, days, TODAY, among=Machine.objects.all())


def test_of_the_class_the_one_with_most_left_then_the_cheaper(clear):
    wanted = clear()
    little, much = left(clear(), 20.0), left(clear(), 80.0)
    dear, cheap = left(clear(day_rate=90), 50.0), left(clear(day_rate=40), 50.0)
    found = [one.machine for one in instead(wanted)]
    assert found == [much, cheap, dear, little]


def test_a_class_that_the_shop_named_comes_after_its_own(clear):
    wanted, own = clear(), left(clear(), 5.0)
    other = left(clear(makeup=factories.MakeUp()), 90.0)
    assert [one.machine for one in instead(wanted)] == [own]
    Substitute.objects.create(
        machine_class=wanted.makeup.machine_class, instead=other.makeup.machine_class
    )
    found = instead(wanted)
    assert [(one.machine, one.other_class) for one in found] == [(own, False), (other, True)]
    assert instead(other) == []  # not the other way


def test_from_another_yard_the_haul_is_named(clear, yard):
    wanted = clear()
    far = factories.Yard(shop=yard.shop, name="Far barn", remote=True, travel_hours=1.5)
    clear(yard=far)
    (one,) = instead(wanted)
    assert one.haul == "from Far barn, 1.5 hours of haul"
    clear(yard=factories.Yard())  # of another shop
    assert len(instead(wanted)) == 1


def test_one_whose_shop_day_is_among_the_days_goes_from_the_day_after(clear):
    wanted, blocked = clear(), clear()
    point = consequences.DuePoint(machine=blocked, p50=TODAY, state=State.OVERDUE)
    consequences.Block(machine=blocked, due_point=point)
    job = consequences.PlannedJob(machine=blocked, day=TODAY + timedelta(days=3))
    consequences.PlannedWork(job=job, service=point.service, due_point=point)
    (one,) = instead(wanted)
    assert one.first_day == TODAY + timedelta(days=4)
    assert one.when == "from Fri 6 Mar, after its shop day"


def test_a_later_first_day_is_always_named(clear):
    """Due on the third day out, but not within the two days that are left after its shop day."""
    wanted, other = clear(), clear()
    point = consequences.DuePoint(
        machine=other, p50=TODAY + timedelta(days=6), meter_kind="hours", rate_per_day=1.0
    )
    job = consequences.PlannedJob(machine=other, day=TODAY + timedelta(days=2))
    consequences.PlannedWork(job=job, service=point.service, due_point=point)
    (one,) = instead(wanted)
    assert one.first_day == TODAY + timedelta(days=3)
    assert one.when.startswith("from Thu 5 Mar")


def test_what_is_promised_or_without_a_shop_day_is_not_offered(clear):
    wanted, promised, overdue = clear(), clear(), clear()
    factories.Booking(machine=promised, first_day=DAYS.first, last_day=DAYS.last)
    consequences.Block(machine=overdue)
    assert instead(wanted) == []


@pytest.mark.parametrize("machines", [3, 20])
def test_queries_do_not_grow(clear, machines, django_assert_num_queries):
    wanted = Machine.objects.select_related("makeup__machine_class", "yard").get(pk=clear().pk)
    for _ in range(machines):
        point = consequences.DuePoint(machine=clear(), p50=TODAY + timedelta(days=40))
        job = consequences.PlannedJob(machine=point.machine, day=TODAY + timedelta(days=3))
        consequences.PlannedWork(job=job, service=point.service, due_point=point)
    with django_assert_num_queries(8):
        assert instead(wanted)


def test_one_press_books_it_with_what_was_typed(client, monkeypatch):
    case = open_counter(client, monkeypatch)
    other = case.another()
    case.booking()
    page = client.get(
        reverse("counter-book", args=["Q-1"]),
        {"first_day": TODAY.isoformat(), "last_day": LAST.isoformat()},
    )
    (choice,) = page.context["choices"]
    address = reverse("counter-book", args=[choice.machine.tag])
    assert f'formaction="{address}"' in page.content.decode()
    typed = {
        "customer": "Alder Creek", "first_day": ["2026-03-02", choice.first_day.isoformat()],
        "last_day": LAST.isoformat(), "form_key": "k1", "value": "",
    }  # fmt: skip
    client.post(address, typed)
    made = Booking.objects.get(machine=other)
    assert (made.hire.who, made.first_day, made.last_day) == ("Alder Creek", TODAY, LAST)
