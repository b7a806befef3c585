"""Nights of several shops handed to a pool of processes."""

from datetime import timedelta

import pytest

from scheduling.models import NightlyRun
from scheduling.worker.nights_beside import spread
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


class AtOnce:
    """Does the work here, as it comes out of the other end of a pipe."""

    def map(self, work, each):
        return map(work, each)


def test_each_shop_has_its_night_as_of_its_moment_and_reports_come_in_order():
    shops = [factories.Machine(yard__shop__name=name).yard.shop for name in ("Dry Creek", "Alder")]
    nights = [(shops[0].pk, NOON), (shops[1].pk, NOON + timedelta(days=1))]
    reports = list(spread(AtOnce(), nights, 0.1))
    assert [(one["shop"], one["day"], one["ok"]) for one in reports] == [
        ("Dry Creek", "2026-03-02", True), ("Alder", "2026-03-03", True),
    ]  # fmt: skip
    assert NightlyRun.objects.filter(finished_at__isnull=False).count() == 2
