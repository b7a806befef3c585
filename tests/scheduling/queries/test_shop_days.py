"""The plan by day and mechanic."""

from datetime import timedelta

import pytest

from scheduling.queries.grid_jobs import grid_jobs
from scheduling.queries.shop_days import shop_days
from tests import consequences, factories
from tests.factories import TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
TUESDAY = TODAY + timedelta(days=1)


def loads(shown, person):
    """Return minutes of work and of room of one person, by day."""
    return [
        (one.work, one.room)
        for day in shown.days
        for one in day.mechanics
        if one.mechanic == person
    ]


def test_a_job_over_several_days_loads_each_with_its_share():
    case = bench_case()
    case.job.last_day, case.job.minutes = TUESDAY, 600
    case.job.by_day = {TODAY.isoformat(): 480, TUESDAY.isoformat(): 120}
    case.job.save()
    shown = shop_days(case.mechanic.shop, TODAY, 3)
    assert loads(shown, case.mechanic) == [(480, 480), (120, 480), (0, 480)]
    assert [len(day.mechanics[0].jobs) for day in shown.days] == [1, 1, 0]
    assert shown.machines == 1  # one machine comes in, on two days
    from_tuesday = shop_days(case.mechanic.shop, TUESDAY, 1)
    assert from_tuesday.machines == 1


def test_help_to_others_loads_the_second_person():
    case = bench_case()
    helper = factories.Mechanic(shop=case.mechanic.shop)
    case.job.second, case.job.second_minutes = helper, 30
    case.job.save()
    assert loads(shop_days(helper.shop, TODAY, 2), helper) == [(30, 480), (0, 480)]


def test_a_lent_hand_has_a_row_on_their_days_alone():
    case = bench_case()
    lent = factories.LentHand(shop=case.mechanic.shop, last_day=TODAY, hours=6)
    shown = shop_days(lent.shop, TODAY, 2)
    assert loads(shown, lent.person) == [(0, 360)]
    assert lent.person in shown.mechanics


def test_the_number_of_queries_does_not_grow(django_assert_num_queries):
    case = bench_case()
    for _ in range(6):
        job = consequences.PlannedJob(
            plan=case.job.plan, machine__makeup=case.machine.makeup, mechanic=case.mechanic,
            second=factories.LentHand(shop=case.mechanic.shop).person,
        )  # fmt: skip
        consequences.PlannedWork(job=job, service=case.service)
    with django_assert_num_queries(23):
        shop_days(case.mechanic.shop, TODAY, 8)


def test_a_long_job_stands_on_no_day_on_which_the_shop_is_shut():
    case = bench_case()
    wednesday = TODAY + timedelta(days=2)
    case.job.last_day, case.job.minutes = wednesday, 600
    case.job.by_day = {TODAY.isoformat(): 480, wednesday.isoformat(): 120}
    case.job.save()
    shown = shop_days(case.mechanic.shop, TODAY, 3)
    assert [sum(len(one.jobs) for one in day.mechanics) for day in shown.days] == [1, 0, 1]


def test_all_jobs_share_the_plan_that_is_read_once():
    case = bench_case()
    for _ in range(2):
        consequences.PlannedJob(
            plan=case.job.plan, machine__yard=case.machine.yard, mechanic=case.mechanic
        )
    jobs = grid_jobs(case.job.plan, TODAY, TUESDAY)
    assert len(jobs) == 3
    assert {id(job.plan) for job in jobs} == {id(case.job.plan)}
    assert grid_jobs(None, TODAY, TUESDAY) == []
