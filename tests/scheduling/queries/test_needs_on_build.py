"""What is pulled, filled in beforehand and planned for is what this machine's build takes."""

from datetime import timedelta

import pytest

from fleet.actions.take_procedures import take_procedures
from fleet.models import Alteration, Fluid, MakeUpFigure
from fleet.procedures.library import procedure_called
from scheduling.models import PlannedJob, PlannedWork
from scheduling.plan.shelf import WhatTakes, place_needs
from scheduling.queries.job_sheet import job_sheet
from scheduling.queries.pull_list import pull_list
from scheduling.queries.sheet_takes import sheet_takes
from tests import factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    """A quad before its yearly service, by the library's procedure."""
    return bench_case()


@pytest.fixture
def work(case):
    (service,) = take_procedures([procedure_called("quad-yearly")], by=None, now=NOON)
    PlannedWork.objects.all().delete()
    return PlannedWork.objects.create(
        plan=case.job.plan, job=case.job, machine=case.machine, service=service,
        work_key=key_of(case.machine, service.code), minutes=60,
    )  # fmt: skip


def build(case, **traits):
    case.machine.makeup.traits = traits
    case.machine.makeup.save()


def hold_gear_oil(case):
    part = factories.Part(name="gear oil", number="GO", kind="fluid")
    Fluid.objects.create(makeup=case.machine.makeup, place="gear oil", capacity_ml=380, part=part)


def listed(case, work):
    return pull_list([PlannedWork.objects.get(pk=work.pk)], case.mechanic.shop, TODAY)


def numbers(pulls):
    return {pull.need.part.number for pull in pulls if pull.need.part}


def planned_for(case, work):
    machine = case.machine
    one = WhatTakes(work.service_id, machine.pk, machine.makeup_id)
    return {need.part for need in place_needs({"k": one})["k"]}


def test_a_quad_with_a_chain_takes_no_gear_oil(case, work):
    build(case, **{"final-drive": "chain", "engine": "petrol"})
    hold_gear_oil(case)
    gear_oil = Fluid.objects.get(place="gear oil").part
    assert "GO" not in numbers(listed(case, work).pulls)
    assert gear_oil.pk not in planned_for(case, work)
    sheet = job_sheet(type(case.machine).objects.all(), case.machine.tag, TODAY)
    assert "OIL" in {one.part.number for one in sheet_takes(sheet)}
    assert "GO" not in {one.part.number for one in sheet_takes(sheet)}


def test_a_quad_with_a_shaft_takes_its_gear_oil(case, work):
    build(case, **{"final-drive": "shaft", "engine": "petrol"})
    hold_gear_oil(case)
    gear_oil = Fluid.objects.get(place="gear oil").part
    assert "GO" in numbers(listed(case, work).pulls)
    assert gear_oil.pk in planned_for(case, work)


def test_a_quad_whose_drive_nobody_told_has_it_brought_along(case, work):
    hold_gear_oil(case)
    gear_oil = Fluid.objects.get(place="gear oil").part
    assert "GO" in numbers(listed(case, work).pulls)
    assert gear_oil.pk in planned_for(case, work)


def test_nobody_is_sent_to_set_up_gear_oil_for_a_chain(case, work):
    build(case, **{"final-drive": "chain", "engine": "petrol"})
    assert not any("gear oil" in one for one in listed(case, work).unknown)
    build(case, **{"final-drive": "shaft", "engine": "petrol"})
    assert any("gear oil" in one for one in listed(case, work).unknown)


def test_what_was_altered_since_counts_for_needs_and_tools(case, work):
    build(case, **{"final-drive": "shaft", "engine": "petrol", "valves": "set"})
    hold_gear_oil(case)
    gear_oil = Fluid.objects.get(place="gear oil").part
    assert "plug socket (size from the manual)" in listed(case, work).tools
    Alteration.objects.create(machine=case.machine, text="Chain", build="final-drive:chain")
    Alteration.objects.create(machine=case.machine, text="Motor", build="engine:electric")
    again = listed(case, work)
    assert "GO" not in numbers(again.pulls)
    assert gear_oil.pk not in planned_for(case, work)
    assert not any("plug socket" in one or "drain cap" in one for one in again.tools)


def test_the_tools_have_the_sizes_of_the_make_up(case, work):
    build(case, engine="petrol")
    MakeUpFigure.objects.create(
        makeup=case.machine.makeup, name="drain cap socket size", value=24, unit="mm"
    )
    tools = listed(case, work).tools
    assert "drain cap socket 24 mm" in tools
    assert "filter cover socket (size from the manual)" in tools
    assert not any("{" in one for one in tools)


def test_queries_do_not_grow_with_the_machines(case, work, django_assert_max_num_queries):
    for _ in range(6):
        machine = factories.Machine(yard=case.machine.yard, makeup=case.machine.makeup)
        job = PlannedJob.objects.create(
            plan=case.job.plan, machine=machine, day=TODAY + timedelta(days=1),
            mechanic=case.mechanic, minutes=60,
        )  # fmt: skip
        PlannedWork.objects.create(
            plan=case.job.plan, job=job, machine=machine, service=work.service,
            work_key=key_of(machine, "quad-yearly"), minutes=60,
        )  # fmt: skip
    rows = PlannedWork.objects.select_related("service", "machine__makeup")
    with django_assert_max_num_queries(13):
        pull_list(rows, case.mechanic.shop, TODAY)
