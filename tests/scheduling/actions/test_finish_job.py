"""Finishing a job: all of it once, or none of it."""

import pytest

from fleet.models import Finding, Hold, Reading, ServiceRecord, StockMovement
from fleet.refusal import Refusal
from scheduling.actions.finish_job import (
    DoneWork,
    FinishedJob,
    JobReading,
    MeterRefused,
    finish_job,
)
from tests import factories
from tests.factories import NOON
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return bench_case()


def job(case, **more) -> FinishedJob:
    facts = {
        "machine": case.machine,
        "form_key": "f" * 32,
        "done": [DoneWork(case.service, planned_minutes=60)],
        "readings": [JobReading("hours", 125.0)],
    }
    return FinishedJob(**facts | more)


def test_the_same_form_twice_is_one_job(case):
    oil = factories.Part()
    for _ in range(2):
        finish_job(job(case, parts=[(oil, 2000)]), by=case.mechanic, now=NOON)
    assert ServiceRecord.objects.count() == 1
    assert Reading.objects.filter(value=125).count() == 1
    assert StockMovement.objects.get().quantity == -2000


def test_the_entry_carries_the_reading_that_was_just_taken(case):
    (record,) = finish_job(job(case), by=case.mechanic, now=NOON)
    assert record.meters.get().value == 125
    assert record.done_by == case.mechanic


def test_an_odd_reading_undoes_the_whole_job(case):
    with pytest.raises(MeterRefused) as refused:
        finish_job(job(case, readings=[JobReading("hours", 20.0)]), by=case.mechanic, now=NOON)
    assert refused.value.kind == "hours"
    assert not ServiceRecord.objects.exists()


def test_minutes_are_shared_as_they_were_planned(case):
    other = factories.Service()
    done = [DoneWork(case.service, planned_minutes=60), DoneWork(other, planned_minutes=30)]
    records = finish_job(job(case, done=done, minutes=120), by=case.mechanic, now=NOON)
    assert [record.minutes for record in records] == [80, 40]


def test_a_repaired_finding_is_settled_and_stands_in_the_book(case):
    finding = factories.Finding(machine=case.machine)
    done = [DoneWork(finding=finding)]
    (record,) = finish_job(job(case, done=done, note="new hose"), by=case.mechanic, now=NOON)
    finding.refresh_from_db()
    assert finding.settled_by == case.mechanic
    assert "new hose" in record.note


def test_something_not_safe_holds_the_machine(case):
    finish_job(
        job(case, finding="brake pedal soft", gravity=Finding.Gravity.UNSAFE),
        by=case.mechanic,
        now=NOON,
    )
    assert Hold.objects.get().machine == case.machine


def test_an_inspection_is_finished_by_a_qualified_person_alone(case):
    skill = factories.Skill(name="inspector")
    skill.by_certificate = True
    skill.save()
    case.service.skill = skill
    case.service.save()
    with pytest.raises(Refusal, match="does not hold the skill inspector"):
        finish_job(job(case), by=case.mechanic, now=NOON)
    assert not Reading.objects.filter(value=125).exists()
    lent = factories.LentHand(shop=case.mechanic.shop, skilled=[skill])
    (record,) = finish_job(job(case, done_by=lent.person), by=case.mechanic, now=NOON)
    assert (record.done_by, record.entered_by) == (lent.person, case.mechanic)


def test_a_finding_that_called_for_a_service_is_settled_with_it(case):
    small = factories.Service()
    factories.cover(case.machine.makeup, case.service, small)
    called = factories.Finding(machine=case.machine, calls_for=small)
    other = factories.Finding(machine=case.machine, calls_for=factories.Service())
    finish_job(job(case, note="new oil"), by=case.mechanic, now=NOON)
    called.refresh_from_db()
    other.refresh_from_db()
    assert (called.settled_by, called.settled_note) == (case.mechanic, "new oil")
    assert other.settled_at is None


@pytest.mark.parametrize(("typed", "written"), [(60, 300), (None, 240)])
def test_minutes_of_earlier_days_are_written_too(case, typed, written):
    done = [DoneWork(case.service, planned_minutes=60, minutes_before=240)]
    (record,) = finish_job(job(case, done=done, minutes=typed), by=case.mechanic, now=NOON)
    assert record.minutes == written
