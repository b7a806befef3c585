"""Changes that cannot be facts any more are refused in a sentence; test_changed holds the rest."""

import pytest

from fleet.models import DeliveryChange, StockMovement
from fleet.refusal import Refusal
from scheduling.actions.facts_of_trials import Maker, make_fact
from scheduling.trial.changes import BackLate, HandLent, PartGone, PartLate
from tests import factories as make
from tests.factories import NOON, TODAY
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db


@pytest.fixture
def maker():
    person = make.Person()
    return Maker(person.shop, person, NOON, "tried out on the plan, no. 7", "trial:7")


def test_a_hand_that_is_lent_elsewhere_meanwhile_is_refused(maker):
    cy = make.Mechanic(username="cy")
    make.LentHand(person=cy, name="")
    with pytest.raises(Refusal, match="lent to"):
        make_fact(HandLent("Cy", 8.0, (), TODAY, day(2), cy.pk, "cy"), maker)


def test_a_hand_from_outside_is_known_by_a_user_name_of_their_own_from_then_on(maker):
    names = make_fact(HandLent("Sam", 8.0, ("general",), TODAY, day(2)), maker)
    assert names == {"hand Sam": "hand-sam"}


def test_a_delivery_that_came_meanwhile_cannot_come_late(maker):
    row = make.Delivery(shop=maker.shop, received_at=NOON)
    late = PartLate(row.pk, row.part_id, "oil filter", 4.0, day(9), row.expected_on)
    with pytest.raises(Refusal, match="can no longer move"):
        make_fact(late, maker)
    assert not DeliveryChange.objects.exists()


def test_days_promised_to_another_meanwhile_are_refused(maker):
    machine = make.Machine(yard__shop=maker.shop)
    out = make.Booking(machine=machine, first_day=TODAY, last_day=day(1))
    make.Booking(machine=machine, first_day=day(3), last_day=day(4), customer="Old Mill")
    with pytest.raises(Refusal, match="booked for Old Mill"):
        make_fact(BackLate(out.pk, machine.pk, machine.tag, day(3)), maker)


def test_a_count_of_the_shelf_says_who_counted_and_why(maker):
    make_fact(PartGone(make.Part().pk, "belt", 2.0), maker)
    row = StockMovement.objects.get()
    assert (row.quantity, row.by, row.note) == (2, maker.by, maker.note)


def test_what_is_no_change_is_refused(maker):
    with pytest.raises(TypeError, match="is no change"):
        make_fact("closed", maker)
