"""Forms of changes to parts, bookings and single work."""

from datetime import timedelta

import pytest

from fleet.models import HandOver, StockMovement
from scheduling.forms.work_changes import (
    BackLateForm,
    BookedForm,
    GoneForm,
    LateForm,
    LongerForm,
    MovedForm,
)
from scheduling.trying.changes import BackLate, Booked, Moved, PartGone, PartLate, TakesLonger
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY, LATER = TODAY + timedelta(days=2), TODAY + timedelta(days=5)
DAYS = {"first": DAY.isoformat(), "last": LATER.isoformat(), "customer": "Two Pines"}


@pytest.fixture
def machine():
    machine = factories.Machine(tag="Q-1")
    consequences.MachineState(machine=machine)
    return machine


@pytest.fixture
def shop(machine):
    return machine.yard.shop


def fault(form, field):
    assert not form.is_valid()
    return form.errors[field][0]


def change(form):
    assert form.is_valid(), form.errors
    return form.change()


def test_a_delivery_comes_later(shop):
    row = factories.Delivery(shop=shop, latest_on=DAY)
    form = LateForm(shop, TODAY, {"delivery": row.pk, "day": LATER.isoformat()})
    assert change(form) == PartLate(
        row.pk, row.part_id, "oil filter", 4.0, LATER, row.expected_on, DAY
    )


def test_a_delivery_that_came_is_not_awaited(shop):
    row = factories.Delivery(shop=shop, received_at=NOON)
    form = LateForm(shop, TODAY, {"delivery": row.pk, "day": LATER.isoformat()})
    assert "it may have come" in fault(form, "delivery")


@pytest.mark.parametrize("asked", ["tag", "class"])
def test_a_booking_of_a_machine_or_of_whichever_may_go_out(machine, shop, asked):
    which = {"tag": "q-1"} if asked == "tag" else {"machine_class": machine.makeup.machine_class_id}
    form = BookedForm(shop, TODAY, DAYS | which | {"value": "480.50"})
    assert change(form) == Booked(machine.pk, "Q-1", DAY, LATER, "Two Pines", 480.5)


@pytest.mark.parametrize(
    ("given", "field", "sentence"),
    [
        ({}, "tag", "which machine, or which class"),
        ({"tag": "Q-9"}, "tag", "No machine “Q-9” stands in the yards"),
        ({"tag": "Q-1", "customer": ""}, "customer", "for whom"),
        ({"tag": "Q-1", "first": "2026-01-01"}, "first", "gone by"),
        ({"tag": "Q-1", "value": "-1"}, "value", "below zero"),
        ({"tag": "Q-1", "value": "much"}, "value", "in digits"),
        ({"machine_class": "999"}, "machine_class", "no such class"),
    ],
)
def test_a_bad_booking_gets_a_sentence(shop, given, field, sentence):
    assert sentence in fault(BookedForm(shop, TODAY, DAYS | given), field)


@pytest.mark.parametrize("asked", ["tag", "class"])
def test_a_machine_that_is_promised_cannot_be_booked_again(machine, shop, asked):
    factories.Booking(machine=machine, first_day=DAY, last_day=DAY, customer="Old Mill")
    which = {"tag": "Q-1"} if asked == "tag" else {"machine_class": machine.makeup.machine_class_id}
    field = "tag" if asked == "tag" else "machine_class"
    said = fault(BookedForm(shop, TODAY, DAYS | which), field)
    assert "Old Mill" in said or "None of this class" in said


@pytest.fixture
def work(machine, shop):
    mechanic = factories.Mechanic(username="ada", shop=shop)
    job = consequences.PlannedJob(
        plan=consequences.Plan(shop=shop), machine=machine, mechanic=mechanic
    )
    return consequences.PlannedWork(job=job, service__name="Oil change", service__code="oil")


def test_work_moved_to_a_day_and_a_mechanic(shop, work):
    given = {"work": "s:Q-1:oil", "day": DAY.isoformat()}
    moved = Moved(work.machine_id, "Q-1", "s:Q-1:oil", "Oil change", DAY)
    assert change(MovedForm(shop, TODAY, given)) == moved
    assert change(MovedForm(shop, TODAY, given | {"mechanic": "ada"})).mechanic == "ada"
    elsewhere = fault(MovedForm(shop, TODAY, given | {"mechanic": "nobody"}), "mechanic")
    assert "Nobody of that name" in elsewhere


def test_work_that_takes_longer(shop, work):
    form = LongerForm(shop, TODAY, {"work": "s:Q-1:oil", "hours": "2.5"})
    assert change(form) == TakesLonger(work.machine_id, "Q-1", "s:Q-1:oil", "Oil change", 150)
    assert "Mon 2 Mar" in str(form["work"])


def test_work_of_another_shop_is_not_in_the_plan(shop, work):
    foreign = consequences.PlannedWork()
    form = LongerForm(shop, TODAY, {"work": foreign.work_key, "hours": "2"})
    assert "no longer in the plan" in fault(form, "work")


def test_a_part_that_is_not_there(shop):
    part = factories.Part(name="belt")
    given = {"part": part.pk, "left": "0"}
    assert "keeps no count" in fault(GoneForm(shop, TODAY, given), "part")
    StockMovement.objects.create(part=part, shop=shop, quantity=3, reason="count", at=NOON)
    assert change(GoneForm(shop, TODAY, given)) == PartGone(part.pk, "belt", 0.0)
    assert "less than nothing" in fault(GoneForm(shop, TODAY, given | {"left": "-1"}), "left")


@pytest.fixture
def out(machine):
    booking = factories.Booking(machine=machine, first_day=TODAY, last_day=DAY)
    HandOver.objects.create(booking=booking, direction=HandOver.Direction.OUT, at=NOON)
    return booking


def test_a_machine_that_comes_back_late(machine, shop, out):
    form = BackLateForm(shop, TODAY, {"booking": out.pk, "day": LATER.isoformat()})
    assert change(form) == BackLate(out.pk, machine.pk, "Q-1", LATER)


def test_a_machine_that_is_back_or_never_went_is_not_out(shop, out):
    HandOver.objects.create(booking=out, direction=HandOver.Direction.BACK, at=NOON)
    form = BackLateForm(shop, TODAY, {"booking": out.pk, "day": LATER.isoformat()})
    assert "is not out" in fault(form, "booking")


def test_a_day_that_is_not_late_or_is_promised_gets_a_sentence(machine, shop, out):
    early = BackLateForm(shop, TODAY, {"booking": out.pk, "day": DAY.isoformat()})
    assert "until Wed 4 Mar anyway" in fault(early, "day")
    factories.Booking(machine=machine, first_day=LATER, last_day=LATER, customer="Old Mill")
    late = BackLateForm(shop, TODAY, {"booking": out.pk, "day": LATER.isoformat()})
    assert "promised to Old Mill" in fault(late, "day")
