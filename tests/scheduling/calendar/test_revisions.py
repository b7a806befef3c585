"""A change makes a revision with a higher number; a repetition makes none."""

from datetime import timedelta

import pytest

from scheduling.calendar.revisions import EPOCH, minute_of, revise
from scheduling.models import CalendarDay, PlannedJob
from tests.factories import NOON, TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


@pytest.fixture
def shop():
    return bench_case().mechanic.shop


def test_first_revision_has_the_number_of_its_minute(shop):
    assert revise(shop, NOON) == 1
    row = CalendarDay.objects.get()
    assert (row.day, row.sequence, row.revised_at) == (TODAY, minute_of(NOON), NOON)


def test_same_plan_is_no_revision(shop):
    revise(shop, NOON)
    assert revise(shop, NOON + 5 * MINUTE) == 0
    assert CalendarDay.objects.get().revised_at == NOON


@pytest.mark.parametrize(("later", "more"), [(timedelta(0), 1), (MINUTE, 1), (9 * MINUTE, 9)])
def test_change_has_a_higher_number_even_within_a_minute(shop, later, more):
    revise(shop, NOON)
    PlannedJob.objects.update(minutes=95)
    assert revise(shop, NOON + later) == 1
    row = CalendarDay.objects.get()
    assert (row.sequence, row.revised_at) == (minute_of(NOON) + more, NOON + later)


def test_number_does_not_fall_where_the_rows_were_lost(shop):
    revise(shop, NOON)
    before = CalendarDay.objects.get().sequence
    CalendarDay.objects.all().delete()
    revise(shop, NOON + MINUTE)
    assert CalendarDay.objects.get().sequence > before


def test_days_long_over_are_forgotten_and_yesterday_is_not(shop):
    revise(shop, NOON)
    PlannedJob.objects.update(day=TODAY + timedelta(days=1))
    revise(shop, NOON)
    assert CalendarDay.objects.count() == 2
    PlannedJob.objects.update(day=TODAY + timedelta(days=70))
    revise(shop, NOON + timedelta(days=70))
    assert CalendarDay.objects.get().day == TODAY + timedelta(days=70)


def test_no_number_lies_below_zero():
    assert minute_of(EPOCH - timedelta(days=400)) == 0
