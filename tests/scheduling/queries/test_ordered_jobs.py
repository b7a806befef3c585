"""Where the jobs of order lines stand by now.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.models import OrderedFor, OrderLine
from scheduling.queries.ordered_jobs import tell_days_now
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
MOVED = TODAY + timedelta(days=3)


@pytest.fixture
def line():
    by = factories.Mechanic()
    line = OrderLine.objects.create(
        part=factories.Part(), shop=by.shop, quantity=1, need_by=TODAY, asked_at=NOON, asked_by=by
    )
    machine, service = factories.Machine(yard__shop=by.shop), factories.Service()
    OrderedFor.objects.create(line=line, machine=machine, service=service, day=TODAY)
    job = consequences.PlannedJob(plan__shop=by.shop, machine=machine, day=MOVED)
    consequences.PlannedWork(job=job, machine=machine, service=service)
    return line


def told(**facts):
    OrderLine.objects.update(**facts)
    lines = list(OrderLine.objects.prefetch_related("jobs"))
    tell_days_now(lines)
    return [job.stands_on for one in lines for job in one.jobs.all()]


def test_a_job_is_told_the_day_to_which_the_plan_moved_it(line):
    assert told() == [MOVED]
    assert told(ordered_at=NOON) == [MOVED]


@pytest.mark.parametrize("done", ["received_at", "dropped_at"])
def test_what_waits_no_longer_is_not_taken_for_the_next_time_of_its_service(line, done):
    assert told(**{done: NOON}) == [None]


def test_a_later_time_has_no_day_of_the_plan(line):
    OrderedFor.objects.update(planned=False)
    assert told() == [None]
