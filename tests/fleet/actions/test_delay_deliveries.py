"""Deliveries slip."""

from datetime import date

import pytest

from fleet.actions.delay_deliveries import delay_delivery, machines_waiting
from fleet.models import DeliveryChange, FittingPart
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db
LATER, LATEST = date(2026, 3, 9), date(2026, 3, 13)


def delay(row, **given):
    return delay_delivery(row, **{"expected_on": LATER, "by": None, "at": NOON} | given)


def test_the_old_day_stays_on_record_beside_the_new_one():
    row = delay(factories.Delivery(), latest_on=LATEST, note=" the carrier rang ")
    change = row.changes.get()
    assert (row.expected_on, row.latest_on, row.counted_from) == (LATER, LATEST, LATEST)
    assert (change.old_expected_on, change.new_expected_on) == (date(2026, 3, 5), LATER)
    assert (change.old_latest_on, change.new_latest_on) == (None, LATEST)
    assert (change.note, change.at) == ("the carrier rang", NOON)


def test_the_same_days_once_more_add_nothing():
    row = factories.Delivery()
    delay(row)
    delay(row)
    assert DeliveryChange.objects.count() == 1


def test_each_further_change_is_a_fact_of_its_own():
    row = factories.Delivery()
    delay(row)
    delay(row, expected_on=LATEST)
    assert [c.new_expected_on for c in row.changes.all()] == [LATER, LATEST]


def test_what_has_come_does_not_slip():
    with pytest.raises(Refusal, match="It came on Mon 2 Mar"):
        delay(factories.Delivery(received_at=NOON))


def test_days_the_wrong_way_round_are_refused():
    with pytest.raises(Refusal, match="latest day is before") as refused:
        delay(factories.Delivery(), latest_on=date(2026, 3, 8))
    assert refused.value.field == "latest_on"


def test_machines_that_take_the_part_are_told():
    row = factories.Delivery()
    mine = factories.Machine(yard__shop=row.shop)
    FittingPart.objects.create(makeup=mine.makeup, place="oil filter", part=row.part)
    factories.Machine(makeup=mine.makeup)  # of another shop
    assert machines_waiting(row.part, row.shop_id) == {mine.pk}
