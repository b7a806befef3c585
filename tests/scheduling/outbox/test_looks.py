"""Looks at plans are owed once for many changes, and for shops alone that have a plan."""

from datetime import timedelta

import pytest

from scheduling.models import OutboxEntry
from scheduling.outbox.looks import SETTLING, owe_looks
from tests import consequences, factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_a_look_waits_a_moment_and_what_comes_until_then_joins_it():
    shop = consequences.Plan().shop
    assert owe_looks({shop.pk}, NOON) == 1
    assert owe_looks({shop.pk}, NOON + timedelta(seconds=10)) == 0
    entry = OutboxEntry.objects.get()
    assert (entry.due_at, entry.payload) == (NOON + SETTLING, {"shop": shop.pk})


def test_each_shop_is_owed_its_own_and_one_without_a_plan_none():
    shops = {consequences.Plan().shop_id, consequences.Plan().shop_id, factories.Shop().pk}
    assert owe_looks(shops, NOON) == 2
