"""Machines whose facts changed have their shop's plan looked at by the next sweep, once."""

from datetime import timedelta

import pytest

from scheduling.models import OutboxEntry
from scheduling.worker.follow_facts import follow_facts
from tests import consequences, factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

MINUTE = timedelta(minutes=1)


def test_machines_stand_for_the_shops_that_serve_them(django_assert_num_queries):
    machine = factories.Machine()
    done = OutboxEntry.objects.create(
        key="r", kind=OutboxEntry.Kind.REFRESH, payload={"machines": [machine.pk]},
        due_at=NOON, made_at=NOON, done_at=NOON + MINUTE,
    )  # fmt: skip
    assert follow_facts(NOON + MINUTE) == 0
    plan = consequences.Plan(shop=machine.yard.shop)
    with django_assert_num_queries(8):
        assert follow_facts(NOON + MINUTE) == 1
    with django_assert_num_queries(5):
        assert follow_facts(NOON + MINUTE) == 0
    OutboxEntry.objects.exclude(pk=done.pk).delete()
    plan.made_at = NOON + 2 * MINUTE  # the plan was made since
    plan.save()
    assert follow_facts(NOON + 2 * MINUTE) == 0
