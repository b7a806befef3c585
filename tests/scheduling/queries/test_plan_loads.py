"""How full a plan's days are, by mechanic and by skill."""

from datetime import timedelta

import pytest

from fleet.models import Absence
from fleet.work_keys import service_key
from scheduling.models import PlannedJob, PlannedWork
from scheduling.plan.horizon import load_days
from scheduling.plan.workers import load_workers
from scheduling.queries.plan_loads import NO_SKILL, minutes_used, plan_loads
from tests import factories
from tests.factories import TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def case():
    """One job of 90 minutes today: 60 of them an oil change without a skill of its own."""
    return bench_case()


def loads(case, days=2):
    jobs = PlannedJob.objects.select_related("machine__yard")
    horizon = load_days(case.mechanic.shop, TODAY, days)
    workers = load_workers(case.mechanic.shop, horizon)
    return plan_loads(list(jobs), workers, horizon, [case.mechanic])


def figures(row):
    return [cell.load.figures for cell in row.cells]


def another(case, **fields):
    """Plan another machine's job of two hours, of work with a skill."""
    machine = factories.Machine(yard__shop=case.mechanic.shop)
    job = PlannedJob.objects.create(
        **{"plan": case.job.plan, "machine": machine, "day": TODAY, "mechanic": case.mechanic,
           "minutes": 120} | fields
    )  # fmt: skip
    service = factories.Service(minutes=60, skill=factories.Skill(name="hydraulic"))
    PlannedWork.objects.create(
        plan=case.job.plan, job=job, machine=machine, service=service, minutes=60,
        work_key=service_key(machine.pk, service.pk),
    )  # fmt: skip
    return job


def test_hours_used_and_there_stand_by_mechanic_and_day(case):
    (row,) = loads(case).mechanics
    assert (row.name, row.username) == ("Jo", case.mechanic.username)
    assert figures(row) == ["1.5/8", "0/8"]


def test_everybody_together_is_the_sum(case):
    another(case)
    assert figures(loads(case).everybody) == ["3.5/8", "0/8"]


def test_absence_leaves_no_hours(case):
    Absence.objects.create(person=case.mechanic, first_day=TOMORROW, last_day=TOMORROW)
    assert figures(loads(case).mechanics[0]) == ["1.5/8", "0/0"]


def test_each_skill_has_the_hours_of_who_holds_it_and_the_work_that_asks_for_it(case):
    another(case)
    rows = {row.name: figures(row) for row in loads(case).skills}
    assert rows == {
        "general": ["0/8", "0/8"], "hydraulic": ["2/0", "0/0"], NO_SKILL: ["1.5/8", "0/8"],
    }  # fmt: skip


def test_a_visit_is_shared_among_its_skills_by_their_minutes(case):
    skilled = factories.Service(minutes=20, skill=factories.Skill(name="hydraulic"))
    PlannedWork.objects.create(
        plan=case.job.plan, job=case.job, machine=case.machine, service=skilled, minutes=30,
        work_key="f:2",
    )  # fmt: skip
    rows = {row.name: row.cells[0].load.work for row in loads(case).skills}
    assert rows == {"general": 0, "hydraulic": pytest.approx(30), NO_SKILL: pytest.approx(60)}


def test_job_over_two_days_takes_each_its_part(case):
    another(case, last_day=TOMORROW, by_day={TODAY.isoformat(): 80, TOMORROW.isoformat(): 40})
    assert [cell.load.work for cell in loads(case).mechanics[0].cells] == [170, 40]


def test_second_person_is_bound_too(case):
    helper = factories.Mechanic()
    job = another(case, second=helper, second_minutes=45)
    assert minutes_used([job])[helper.pk, TODAY] == 45


def test_way_to_a_remote_yard_is_driven_once_a_day(case):
    yard = factories.Yard(shop=case.mechanic.shop, remote=True, travel_hours=1.5)
    for job in [case.job, another(case)]:
        job.machine.yard = yard
        job.machine.save()
    jobs = PlannedJob.objects.select_related("machine__yard")
    assert minutes_used(jobs)[case.mechanic.pk, TODAY] == 90 + 120 + 90
    yard.remote = False
    yard.save()
    assert minutes_used(PlannedJob.objects.all())[case.mechanic.pk, TODAY] == 90 + 120


def test_closed_day_is_told_from_a_day_off(case):
    cells = loads(case, days=7).mechanics[0].cells
    assert [cell.closed for cell in cells] == [False] * 5 + [True] * 2
