"""The job sheet: planned work first, what is nearly due beside it, and what bites."""

import pytest

from fleet.models import Alteration, Caution, Finding, Limit, Machine
from scheduling.models import DuePoint, PlannedWork, State
from scheduling.queries.job_sheet import job_sheet
from tests import factories
from tests.factories import TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


def sheet(case, day=TODAY):
    return job_sheet(Machine.objects.all(), case.machine.tag, day)


def test_planned_work_is_not_offered_twice():
    got = sheet(bench_case())
    assert [work.work_key for work in got.planned] == ["s:Q-1:oil"]
    assert got.offered == []


def test_without_a_plan_what_is_due_and_what_is_broken_is_offered():
    case = bench_case()
    PlannedWork.objects.all().delete()
    defect = factories.Finding(machine=case.machine)
    factories.Finding(machine=case.machine, gravity=Finding.Gravity.NOTE)
    assert [work.work_key for work in sheet(case).offered] == ["s:Q-1:oil", f"f:{defect.pk}"]


def test_a_clear_service_is_not_offered():
    case = bench_case()
    PlannedWork.objects.all().delete()
    DuePoint.objects.update(state=State.CLEAR)
    assert sheet(case).work == []


def test_cautions_stand_once_the_most_serious_first():
    case = bench_case()
    case.service.cautions.add(
        Caution.objects.create(code="z", signal="danger", text="Arms fall.", source="from memory")
    )
    assert [caution.signal for caution in sheet(case).cautions] == ["danger", "warning"]


def test_an_alteration_that_slows_the_service_stands_with_it():
    case = bench_case()
    Alteration.objects.create(machine=case.machine, text="skid plate", slows=case.service)
    Alteration.objects.create(machine=case.machine, text="red paint")
    (work,) = sheet(case).planned
    assert [str(one) for one in work.alterations] == ["skid plate"]


def test_a_limit_of_another_make_up_is_not_measured():
    case = bench_case()
    Limit.objects.create(service=case.service, name="Other", low=1, makeup=factories.MakeUp())
    (work,) = sheet(case).planned
    assert [limit.name for limit in work.limits] == ["Oil pressure"]


def test_a_machine_of_another_shop_has_no_sheet():
    case = bench_case()
    assert job_sheet(Machine.objects.none(), case.machine.tag, TODAY) is None


def test_done_work_leaves_the_sheet():
    case = bench_case()
    DuePoint.objects.update(last_done_on=TODAY, state=State.CLEAR)
    assert sheet(case).work == []
