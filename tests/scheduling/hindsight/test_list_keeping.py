"""The list of a day is kept as it stood when the day began, once."""

from datetime import timedelta

import pytest

from fleet.models import KeptDay, KeptWork
from scheduling.hindsight.list_keeping import keep_list
from scheduling.models import Plan, PlannedJob
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return bench_case()


def test_list_is_kept_with_its_work_and_hours(case):
    assert keep_list(case.mechanic.shop, TODAY, NOON) == 1
    day = KeptDay.objects.get()
    assert (day.day, day.kept_at, day.minutes, day.minutes_there) == (TODAY, NOON, 90, 480)
    row = KeptWork.objects.get()
    assert (row.work_key, row.title, row.mechanic, row.minutes) == (
        key_of("Q-1", "oil"), "Engine oil and filter", case.mechanic, 60,
    )  # fmt: skip


def test_first_word_of_a_day_stands(case):
    keep_list(case.mechanic.shop, TODAY, NOON)
    PlannedJob.objects.all().delete()
    assert keep_list(case.mechanic.shop, TODAY, NOON + timedelta(hours=1)) is None
    assert KeptWork.objects.count() == 1


def test_list_outlives_the_plan(case):
    keep_list(case.mechanic.shop, TODAY, NOON)
    Plan.objects.all().delete()
    assert KeptWork.objects.get().machine == case.machine


def test_work_over_several_days_stands_on_the_list_of_its_last_day(case):
    last = TODAY + timedelta(days=1)
    case.job.last_day, case.job.minutes = last, 600
    case.job.by_day = {TODAY.isoformat(): 480, last.isoformat(): 120}
    case.job.save()
    assert keep_list(case.mechanic.shop, TODAY, NOON) == 0
    assert keep_list(case.mechanic.shop, last, NOON) == 1
    assert list(KeptDay.objects.values_list("minutes", flat=True)) == [480, 120]


def test_empty_day_is_kept_too(case):
    assert keep_list(case.mechanic.shop, TODAY + timedelta(days=1), NOON) == 0
    assert KeptDay.objects.get().minutes == 0


@pytest.mark.parametrize("days", [-1, 28])
def test_day_that_the_plan_does_not_reach_is_not_kept(case, days):
    assert keep_list(case.mechanic.shop, TODAY + timedelta(days=days), NOON) is None
    assert not KeptDay.objects.exists()


def test_without_a_plan_nothing_is_kept(case):
    Plan.objects.all().delete()
    assert keep_list(case.mechanic.shop, TODAY, NOON) is None
