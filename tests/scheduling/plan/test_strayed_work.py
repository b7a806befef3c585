"""Planned work of a machine that was retired, or moved to another shop, leaves the plan at once."""

import pytest

from scheduling.models import PlannedJob, PlannedWork
from scheduling.plan.strayed_work import drop_strayed
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned():
    plan = consequences.Plan()
    machine = factories.Machine(yard__shop=plan.shop)
    job = consequences.PlannedJob(plan=plan, machine=machine)
    return consequences.PlannedWork(plan=plan, job=job, machine=machine)


def test_a_machine_at_home_keeps_its_work(planned, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert drop_strayed({planned.machine_id}, NOON) == set()
    assert PlannedWork.objects.count() == 1


@pytest.mark.parametrize("case", ["retired", "moved"])
def test_one_that_is_gone_leaves_the_plan(planned, case):
    machine = planned.machine
    if case == "retired":
        machine.retired_on = TODAY
    else:
        machine.yard = factories.Yard()
    machine.save()
    assert drop_strayed({machine.pk}, NOON) == {planned.plan.shop_id}
    assert not PlannedWork.objects.exists()
    assert not PlannedJob.objects.exists()
