"""The batch list: jobs in order, what is done by now, what was written that day."""

from datetime import timedelta

import pytest

from fleet.models import Release, ServiceRecord
from fleet.work_keys import repair_key
from scheduling.models import DuePoint, PlannedJob, PlannedWork
from scheduling.queries.batch_list import batch_list
from tests import consequences, factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


def test_a_job_stands_on_its_mechanics_day_alone():
    case = bench_case()
    assert [one.job for one in batch_list(case.mechanic, TODAY).jobs] == [case.job]
    other = factories.Mechanic(shop=case.mechanic.shop)
    assert batch_list(other, TODAY).jobs == []


def test_work_is_done_when_the_book_says_so_since_the_plan_began():
    case = bench_case()
    assert batch_list(case.mechanic, TODAY).minutes_left == 90
    DuePoint.objects.update(last_done_on=TODAY)
    listed = batch_list(case.mechanic, TODAY)
    assert listed.jobs[0].done
    assert listed.open_jobs == []


def test_a_repair_is_done_when_its_finding_is_settled():
    case = bench_case()
    finding = factories.Finding(machine=case.machine)
    PlannedWork.objects.update(service=None, finding=finding, work_key=repair_key(finding.pk))
    assert not batch_list(case.mechanic, TODAY).jobs[0].done
    finding.settled_at = NOON
    finding.save()
    assert batch_list(case.mechanic, TODAY).jobs[0].done


def test_a_day_is_published_when_the_last_release_reaches_it():
    case = bench_case()
    assert not batch_list(case.mechanic, TODAY).published
    Release.objects.create(
        shop=case.mechanic.shop, at=NOON, first_day=TODAY, last_day=TODAY, jobs=[]
    )
    assert batch_list(case.mechanic, TODAY).published


def test_struck_entries_are_not_listed_as_written():
    case = bench_case()
    record = factories.ServiceRecord(machine=case.machine, done_by=case.mechanic)
    assert batch_list(case.mechanic, TODAY).records == [record]
    ServiceRecord.objects.create(
        machine=case.machine, corrects=record, void=True, done_at=NOON, entered_at=NOON
    )
    assert batch_list(case.mechanic, TODAY).records == []


def test_the_number_of_queries_does_not_grow_with_the_jobs(django_assert_max_num_queries):
    case = bench_case()
    for _ in range(15):
        machine = factories.Machine(yard=case.machine.yard, makeup=case.machine.makeup)
        job = PlannedJob.objects.create(
            plan=case.job.plan, machine=machine, day=TODAY, mechanic=case.mechanic, minutes=60
        )
        PlannedWork.objects.create(
            plan=case.job.plan,
            job=job,
            machine=machine,
            work_key=key_of(machine, "oil"),
            service=case.service,
            minutes=60,
        )
    with django_assert_max_num_queries(17):
        assert len(batch_list(case.mechanic, TODAY).jobs) == 16


def test_a_job_over_several_days_stands_on_each_with_its_share():
    case = bench_case()
    after = TODAY + timedelta(days=2)
    case.job.last_day, case.job.minutes = after, 1000
    case.job.by_day = {TODAY.isoformat(): 480, after.isoformat(): 520}
    case.job.save()
    first, last = batch_list(case.mechanic, TODAY), batch_list(case.mechanic, after)
    assert (first.minutes_left, last.minutes_left) == (480, 520)
    assert last.jobs[0].goes_on
    assert batch_list(case.mechanic, after + timedelta(days=1)).jobs == []


def test_the_second_person_has_the_job_to_help_with_and_its_cautions():
    case = bench_case()
    case.service.second_minutes, case.service.second_for = 30, "hold the load"
    case.service.save()
    helper = factories.Mechanic(shop=case.mechanic.shop)
    case.job.second, case.job.second_minutes = helper, 30
    case.job.save()
    listed = batch_list(helper, TODAY)
    assert (listed.jobs, listed.open_work, listed.minutes_left) == ([], [], 30)
    assert [work.second_for for work in listed.helps[0].with_second] == ["hold the load"]
    assert listed.work_beside == [case.work]
    assert batch_list(case.mechanic, TODAY).helps == []


def test_what_is_under_way_comes_first():
    case = bench_case()
    machine = factories.Machine(yard=case.machine.yard)
    job = consequences.PlannedJob(
        plan=case.job.plan, machine=machine, mechanic=case.mechanic, position=9
    )
    consequences.PlannedWork(job=job, begun=True)
    listed = batch_list(case.mechanic, TODAY)
    assert [one.job for one in listed.jobs] == [job, case.job]


def test_a_lent_hand_has_the_list_of_the_shop_that_they_are_lent_to():
    case = bench_case()
    lent = factories.LentHand(shop=case.mechanic.shop)
    PlannedJob.objects.update(mechanic=lent.person)
    Release.objects.create(shop=lent.shop, at=NOON, first_day=TODAY, last_day=TODAY, jobs=[])
    listed = batch_list(lent.person, TODAY)
    assert (listed.shop, listed.published, len(listed.jobs)) == (lent.shop, True, 1)


def test_what_somebody_found_is_named_without_its_full_stop_since_more_follows():
    """Else a list reads "the pin hole is worn., Grease and look-over"."""
    finding = factories.Finding(text="Arm lock does not hold.")
    assert PlannedWork(finding=finding).title == "Arm lock does not hold"
