"""What a calendar says of a mechanic's day."""

from datetime import timedelta

import pytest

from fleet.models import Release
from scheduling.calendar.calendar_days import days_of, mechanic_days
from scheduling.models import Plan, PlannedJob
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return bench_case()


def test_day_is_said_with_its_machines_work_and_minutes(case):
    (day,) = mechanic_days(case.mechanic.shop)
    assert (day.mechanic, day.day, day.minutes) == (case.mechanic, TODAY, 90)
    assert day.summary == "1 machine, 1 h 30 min: Q-1"
    (line,) = day.lines
    assert line.startswith("1. Q-1 (")
    assert line.endswith("): Engine oil and filter; 1 h 30 min")


def test_day_is_published_within_the_last_release(case):
    assert not mechanic_days(case.mechanic.shop)[0].published
    Release.objects.create(
        shop=case.mechanic.shop, at=NOON, first_day=TODAY, last_day=TODAY, jobs=[]
    )
    assert mechanic_days(case.mechanic.shop)[0].published


def test_work_at_a_remote_yard_says_where(case):
    case.machine.yard.remote = True
    case.machine.yard.save()
    assert f", at {case.machine.yard}: " in mechanic_days(case.mechanic.shop)[0].lines[0]


def test_job_over_two_days_stands_on_both(case):
    last = TODAY + timedelta(days=1)
    case.job.last_day, case.job.by_day = last, {TODAY.isoformat(): 60, last.isoformat(): 30}
    case.job.save()
    first, second = mechanic_days(case.mechanic.shop)
    assert (first.minutes, second.minutes) == (60, 30)
    assert "goes on to Tue 3 Mar" in first.lines[0]
    assert "goes on" not in second.lines[0]


def test_second_person_has_the_day_too(case):
    helper = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    PlannedJob.objects.update(second=helper, second_minutes=30)
    days = {each.mechanic: each for each in mechanic_days(case.mechanic.shop)}
    assert days[helper].minutes == 30
    assert ", with Jo; 30 min" in days[helper].lines[0]


def test_hand_lent_to_another_shop_has_the_days_of_both(case):
    other = bench_case_elsewhere(case)
    assert [each.place for each in days_of(case.mechanic)] == [str(case.mechanic.shop), str(other)]
    assert len(mechanic_days(other)) == 1


def bench_case_elsewhere(case):
    """Plan a job of the same mechanic in another shop, for tomorrow."""
    shop = factories.Shop()
    plan = Plan.objects.create(shop=shop, made_at=NOON, first_day=TODAY, days=28)
    PlannedJob.objects.create(
        plan=plan, machine=factories.Machine(yard__shop=shop), day=TODAY + timedelta(days=1),
        mechanic=case.mechanic, minutes=30,
    )  # fmt: skip
    return shop


def test_digest_changes_with_what_is_said_and_not_otherwise(case):
    (before,) = mechanic_days(case.mechanic.shop)
    assert mechanic_days(case.mechanic.shop)[0].digest == before.digest
    PlannedJob.objects.update(minutes=95)
    assert mechanic_days(case.mechanic.shop)[0].digest != before.digest


def test_shop_without_a_plan_has_no_days():
    assert mechanic_days(factories.Shop()) == []


def test_number_of_queries_does_not_grow(case, django_assert_num_queries):
    with django_assert_num_queries(5):
        mechanic_days(case.mechanic.shop)
    for ahead in range(5):
        machine = factories.Machine(yard__shop=case.mechanic.shop)
        PlannedJob.objects.create(
            plan=case.job.plan, machine=machine, day=TODAY + timedelta(days=ahead),
            mechanic=factories.Mechanic(shop=case.mechanic.shop), minutes=60,
        )  # fmt: skip
    with django_assert_num_queries(5):
        assert len(mechanic_days(case.mechanic.shop)) == 6
