"""What hindsight counts in the demo's book, against the simulation that made it."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.models import Shop
from scheduling.core.replay import as_it_was
from scheduling.hindsight.past_loading import load_past
from tests.benchmarks.hindsight_truth import true_overdue_days

pytestmark = pytest.mark.django_db

NIGHTS = 60
SEED = 7
"""That of `Wanted`, where nobody says another."""


def test_the_overdue_days_of_the_book_are_those_that_were_simulated(demo):
    """Meters are read now and then, so that a day more or less is in doubt; 5 % in all.

    The last two months are left out: the readings that settle them are not all in yet.
    """
    first, last = demo - timedelta(days=2 * NIGHTS), demo - timedelta(days=NIGHTS + 1)
    true = true_overdue_days(demo, SEED, first, NIGHTS)
    now = datetime(demo.year, demo.month, demo.day, 15, tzinfo=UTC)
    counted = as_it_was(load_past(Shop.objects.get(), first, last, now).past).overdue_days
    assert true > 100
    assert abs(counted - true) < 0.05 * true
