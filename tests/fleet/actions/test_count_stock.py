"""The shelf as people find it."""

import pytest

from fleet.actions.count_stock import count_shelf
from fleet.models import StockMovement
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_a_count_brings_the_shelf_to_what_lies_there_and_the_same_again_adds_nothing():
    part, person = factories.Part(), factories.Person()
    for quantity in (5, 2, 2):
        count_shelf(part, person.shop, quantity, by=person, now=NOON, note="looked")
    rows = StockMovement.objects.values_list("quantity", "reason", "by", "note")
    assert list(rows) == [(5, "count", person.pk, "looked"), (-3, "count", person.pk, "looked")]


def test_nothing_on_a_shelf_never_counted_is_a_count_too():
    part, person = factories.Part(), factories.Person()
    assert count_shelf(part, person.shop, 0, by=person, now=NOON) is not None


def test_less_than_nothing_is_refused():
    part, person = factories.Part(), factories.Person()
    with pytest.raises(Refusal, match="below zero"):
        count_shelf(part, person.shop, -1, by=person, now=NOON)
