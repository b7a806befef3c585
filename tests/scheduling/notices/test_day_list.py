"""The mechanic's list for the day."""

from datetime import timedelta

import pytest

from fleet.models import Caution, FittingPart, Fluid, ServiceNeed, StockMovement
from fleet.work_keys import repair_key
from scheduling.models import DuePoint, Notice, State
from scheduling.notices.day_list import make_day_lists, write_day_list
from scheduling.queries.batch_list import batch_list
from tests import consequences, factories
from tests.factories import NOON, TODAY

FIRST = "the machine's own manual, local codes and licensed practice"


@pytest.fixture
def oil_change():
    """A service with a caution that takes the whole of the engine oil."""
    service = factories.Service(name="Engine oil and filter")
    caution = Caution.objects.create(
        code="hot-oil", signal="warning", text="Hot oil burns; let it cool.", source="test"
    )
    service.cautions.add(caution)
    ServiceNeed.objects.create(service=service, place="engine oil")
    return service


@pytest.fixture
def job(shop, machine, mechanic, oil_change):
    Fluid.objects.create(
        makeup=machine.makeup, place="engine oil", grade="10W-30", capacity_ml=3312.24
    )
    plan = consequences.Plan(shop=shop)
    job = consequences.PlannedJob(plan=plan, machine=machine, mechanic=mechanic, minutes=75)
    due_point = consequences.DuePoint(machine=machine, service=oil_change, state=State.DUE)
    consequences.PlannedWork(job=job, service=oil_change, due_point=due_point)
    return job


def test_it_lists_jobs_the_shelf_and_what_bites_and_puts_the_manual_first(shop, job, mechanic):
    letter = write_day_list(shop, batch_list(mechanic, TODAY))
    assert letter.subject == "Your list for Mon 2 Mar: 1 machine, 1 h 15 min"
    for said in ("1. SL-04", "[!] due", "- Engine oil and filter", "[ ] 3.5 qt engine oil 10W-30",
                 "WARNING: Hot oil burns", "http://127.0.0.1:8000/machines/SL-04"):  # fmt: skip
        assert said in letter.text
    assert FIRST in " ".join(letter.text.split())
    assert FIRST.replace("'", "&#x27;") in letter.html or FIRST in letter.html
    assert "Hot oil burns" in letter.html


def test_what_is_pulled_in_place_of_what_lacks_is_told(shop, job, machine, mechanic, oil_change):
    ServiceNeed.objects.create(service=oil_change, place="oil filter")
    other = factories.Part(number="OF-2", name="long filter")
    FittingPart.objects.create(
        makeup=machine.makeup, place="oil filter", part=factories.Part(number="OF-1"), instead=other
    )
    StockMovement.objects.create(part=other, shop=shop, quantity=1, reason="count", at=NOON)
    text = write_day_list(shop, batch_list(mechanic, TODAY)).text
    assert "; in its place pull 1 × OF-2 long filter" in text
    spanish = write_day_list(shop, batch_list(mechanic, TODAY), "es").text
    assert "; en su lugar saque 1 × OF-2" in spanish


def test_a_repair_is_named_by_what_was_found(shop, machine, mechanic):
    job = consequences.PlannedJob(plan__shop=shop, machine=machine, mechanic=mechanic)
    finding = factories.Finding(machine=machine, text="hydraulic hose chafed")
    consequences.PlannedWork(
        job=job, service=None, finding=finding, work_key=repair_key(finding.pk)
    )
    assert "- hydraulic hose chafed" in write_day_list(shop, batch_list(mechanic, TODAY)).text


def test_a_machine_in_a_remote_yard_says_where_to_drive(shop, job, mechanic):
    job.machine.yard.remote = True
    job.machine.yard.save()
    assert "at North yard" in write_day_list(shop, batch_list(mechanic, TODAY)).text


def test_what_the_shelf_lacks_and_what_nobody_set_up_is_said(shop, job, mechanic, oil_change):
    oil = factories.Part(name="engine oil 10W-30", number="F-1", kind="fluid")
    Fluid.objects.update(part=oil)
    StockMovement.objects.create(part=oil, shop=shop, quantity=946.35, reason="count", at=NOON)
    ServiceNeed.objects.create(service=oil_change, place="oil filter")
    text = write_day_list(shop, batch_list(mechanic, TODAY)).text
    assert "3.5 qt F-1 engine oil 10W-30 (SHORT: 1.0 qt on the shelf)" in text
    assert f"oil filter of {job.machine.makeup}: no part is set up" in text


def test_work_that_is_done_by_now_is_left_out(shop, job, mechanic):
    DuePoint.objects.update(last_done_on=TODAY)
    assert make_day_lists(shop, NOON, TODAY) == 0


def test_each_mechanic_with_jobs_gets_one_a_day(shop, job, mechanic):
    other = factories.Mechanic(shop=shop)
    later = TODAY + timedelta(days=1)
    repair = factories.Finding(machine=job.machine)
    consequences.PlannedWork(
        job__plan=job.plan, job__machine=job.machine, job__mechanic=other, job__day=later,
        service=None, finding=repair, work_key=repair_key(repair.pk),
    )  # fmt: skip
    assert make_day_lists(shop, NOON, TODAY) == 1
    assert make_day_lists(shop, NOON, TODAY) == 0
    assert Notice.objects.get().person == mechanic
    assert make_day_lists(shop, NOON, later) == 1


def test_somebody_who_left_gets_none(shop, job, mechanic):
    mechanic.is_active = False
    mechanic.save()
    assert make_day_lists(shop, NOON, TODAY) == 0


def test_queries_do_not_grow_with_the_jobs(shop, job, oil_change, django_assert_max_num_queries):
    for _ in range(5):
        machine = factories.Machine(yard=job.machine.yard)
        each = consequences.PlannedJob(plan=job.plan, machine=machine, mechanic=job.mechanic)
        consequences.PlannedWork(job=each, service=oil_change)
    with django_assert_max_num_queries(40):
        make_day_lists(shop, NOON, TODAY)


def test_the_second_person_is_told_with_whom_and_at_what(shop, job, mechanic, oil_change):
    oil_change.second_minutes, oil_change.second_for = 30, "hold the load"
    oil_change.save()
    job.second, job.second_minutes = factories.Mechanic(shop=shop), 30
    job.save()
    assert make_day_lists(shop, NOON, TODAY) == 2
    letter = Notice.objects.get(person=job.second)
    assert f"- SL-04, with {mechanic}: hold the load, 30 min" in letter.text
    assert "WARNING: Hot oil burns" in letter.text
    assert letter.subject.endswith(": help at 1 machine, 30 min")


def test_the_first_line_counts_the_machines_that_its_time_goes_to(shop, job, mechanic, oil_change):
    own = consequences.PlannedJob(
        plan=job.plan, machine=factories.Machine(yard=job.machine.yard),
        mechanic=factories.Mechanic(shop=shop),
    )  # fmt: skip
    consequences.PlannedWork(job=own, service=oil_change)
    job.second, job.second_minutes = own.mechanic, 30
    job.save()
    make_day_lists(shop, NOON, TODAY)
    assert ": 1 machine and help at 1 more, " in Notice.objects.get(person=own.mechanic).subject


def test_a_hand_lent_from_outside_has_no_letter(shop, job):
    job.mechanic = factories.LentHand(shop=shop).person
    job.save()
    assert make_day_lists(shop, NOON, TODAY) == 0
