"""The job sheet: planned work first, what is nearly due beside it, and what bites."""

from datetime import timedelta

import pytest

from fleet.models import Alteration, Caution, Finding, Limit, Machine
from fleet.work_keys import repair_key
from scheduling.models import DuePoint, PlannedWork, State
from scheduling.queries.job_sheet import job_sheet
from tests import factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


def sheet(case, day=TODAY):
    return job_sheet(Machine.objects.all(), case.machine.tag, day)


def test_planned_work_is_not_offered_twice():
    got = sheet(bench_case())
    assert [work.work_key for work in got.planned] == [key_of("Q-1", "oil")]
    assert got.offered == []


def test_without_a_plan_what_is_due_and_what_is_broken_is_offered():
    case = bench_case()
    PlannedWork.objects.all().delete()
    defect = factories.Finding(machine=case.machine)
    factories.Finding(machine=case.machine, gravity=Finding.Gravity.NOTE)
    assert [work.work_key for work in sheet(case).offered] == [
        key_of("Q-1", "oil"),
        repair_key(defect.pk),
    ]


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


def test_work_under_way_shows_what_is_left_and_what_was_worked():
    case = bench_case()
    for hours, left in [(30, 90), (6, 40)]:
        factories.Progress(
            machine=case.machine, work_key=key_of("Q-1", "oil"), at=NOON - timedelta(hours=hours),
            minutes=20, minutes_left=left,
        )  # fmt: skip
    (work,) = job_sheet(Machine.objects.all(), "Q-1", TODAY).planned
    assert (work.minutes, work.minutes_before, work.laid_down.minutes_left) == (40, 40, 40)
    case.work.due_point.last_done_on = TODAY - timedelta(days=1)
    case.work.due_point.save()  # done after the first word, and begun anew since
    (work,) = job_sheet(Machine.objects.all(), "Q-1", TODAY).planned
    assert (work.minutes, work.minutes_before) == (40, 20)


def test_a_finding_that_calls_for_a_service_is_offered_as_that_service_alone():
    case = bench_case()
    factories.Finding(machine=case.machine, calls_for=factories.Service())
    plain = factories.Finding(machine=case.machine)
    sheet = job_sheet(Machine.objects.all(), "Q-1", TODAY)
    assert [work.finding for work in sheet.offered if work.finding] == [plain]
