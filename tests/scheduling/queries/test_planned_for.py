"""What the plan brings about: work of its own, and what that work covers."""

from datetime import timedelta

import pytest

from fleet.work_keys import service_key
from scheduling.queries.planned_for import day_of_work, planned_for
from tests import consequences, factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return consequences.PlannedJob(day=TODAY)


def planned(job, service):
    return consequences.PlannedWork(
        plan=job.plan, job=job, machine=job.machine, service=service,
        work_key=service_key(job.machine.pk, service.pk),
    )  # fmt: skip


def test_a_service_is_brought_about_by_the_one_that_covers_it(job):
    """Through as many as it takes: the 500 h service does the 250 h, and that the oil."""
    oil, h250, h500 = (factories.Service() for _ in range(3))
    factories.cover(job.machine.makeup, h250, oil)
    factories.cover(job.machine.makeup, h500, h250)
    work = planned(job, h500)
    found = planned_for([job.machine.pk])
    assert {key: one.pk for key, one in found.items()} == {
        (job.machine.pk, service.pk): work.pk for service in (oil, h250, h500)
    }


def test_the_earlier_of_two_counts(job):
    oil, h250 = factories.Service(), factories.Service()
    factories.cover(job.machine.makeup, h250, oil)
    planned(job, h250)
    later = consequences.PlannedJob(
        plan=job.plan, machine=job.machine, day=TODAY + timedelta(days=9)
    )
    planned(later, oil)
    point = consequences.DuePoint(machine=job.machine, service=oil)
    assert day_of_work(planned_for([job.machine.pk]), point) == TODAY


def test_work_beyond_the_plan_brings_nothing_about(job):
    service = factories.Service()
    work = planned(job, service)
    work.job = None
    work.save()
    point = consequences.DuePoint(machine=job.machine, service=service)
    assert day_of_work(planned_for([job.machine.pk]), point) is None


def test_two_queries_however_many_machines(job, django_assert_num_queries):
    planned(job, factories.Service())
    with django_assert_num_queries(2):
        planned_for([job.machine.pk])
