"""Forms of changes to parts, bookings and single work."""

from datetime import timedelta

import pytest

from fleet.models import StockMovement
from scheduling.forms.work_change_forms import GoneForm, LateForm, LongerForm, MovedForm
from scheduling.trial.changes import Moved, PartGone, PartLate, TakesLonger
from tests import consequences, factories
from tests.factories import NOON, TODAY, key_of

pytestmark = pytest.mark.django_db
DAY, LATER = TODAY + timedelta(days=2), TODAY + timedelta(days=5)


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
    assert "it may have arrived" in fault(form, "delivery")


@pytest.fixture
def work(machine, shop):
    mechanic = factories.Mechanic(username="ada", shop=shop)
    job = consequences.PlannedJob(
        plan=consequences.Plan(shop=shop), machine=machine, mechanic=mechanic
    )
    return consequences.PlannedWork(job=job, service__name="Oil change", service__code="oil")


def test_work_moved_to_a_day_and_a_mechanic(shop, work):
    given = {"work": key_of("Q-1", "oil"), "day": DAY.isoformat()}
    moved = Moved(work.machine_id, "Q-1", key_of("Q-1", "oil"), "Oil change", DAY)
    assert change(MovedForm(shop, TODAY, given)) == moved
    assert change(MovedForm(shop, TODAY, given | {"mechanic": "ada"})).mechanic == "ada"
    elsewhere = fault(MovedForm(shop, TODAY, given | {"mechanic": "nobody"}), "mechanic")
    assert "Nobody of that name" in elsewhere


def test_work_that_takes_longer(shop, work):
    form = LongerForm(shop, TODAY, {"work": key_of("Q-1", "oil"), "hours": "2.5"})
    assert change(form) == TakesLonger(
        work.machine_id, "Q-1", key_of("Q-1", "oil"), "Oil change", 150
    )
    assert "Mon 2 Mar" in str(form["work"])


def test_work_of_another_shop_is_not_in_the_plan(shop, work):
    foreign = consequences.PlannedWork()
    form = LongerForm(shop, TODAY, {"work": foreign.work_key, "hours": "2"})
    assert "no longer in the plan" in fault(form, "work")


def test_a_part_that_is_not_there(shop):
    part = factories.Part(name="belt")
    given = {"part": part.pk, "left": "0"}
    assert "does not count that part" in fault(GoneForm(shop, TODAY, given), "part")
    StockMovement.objects.create(part=part, shop=shop, quantity=3, reason="count", at=NOON)
    assert change(GoneForm(shop, TODAY, given)) == PartGone(part.pk, "belt", 0.0)
    assert "below zero" in fault(GoneForm(shop, TODAY, given | {"left": "-1"}), "left")


@pytest.mark.parametrize(
    ("units", "typed", "left"),
    [("us", "3", 2839.1), ("us", "2 gal", 7570.8), ("metric", "3", 3000.0), ("us", "0", 0.0)],
)
def test_what_is_left_of_a_fluid_is_typed_as_the_shop_measures_it(shop, units, typed, left):
    shop.units = units
    shop.save()
    oil = factories.Part(name="oil", kind="fluid")
    StockMovement.objects.create(part=oil, shop=shop, quantity=9000, reason="count", at=NOON)
    form = GoneForm(shop, TODAY, {"part": oil.pk, "left": typed})
    assert change(form).left == pytest.approx(left, abs=0.1)


@pytest.mark.parametrize("typed", ["some", "3 miles", "99999999"])
def test_what_is_no_amount_is_said_at_its_field(shop, typed):
    oil = factories.Part(name="oil", kind="fluid")
    StockMovement.objects.create(part=oil, shop=shop, quantity=9000, reason="count", at=NOON)
    assert fault(GoneForm(shop, TODAY, {"part": oil.pk, "left": typed}), "left")
