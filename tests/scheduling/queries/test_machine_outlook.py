"""What follows for one machine, in words.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from scheduling.models import State
from scheduling.queries.machine_outlook import outlook
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def machine():
    return factories.Machine()


def test_the_worst_service_stands_first_then_the_soonest(machine):
    late = consequences.DuePoint(machine=machine, p50=TODAY + 60 * DAY, state=State.CLEAR)
    soon = consequences.DuePoint(machine=machine, p50=TODAY + 30 * DAY, state=State.CLEAR)
    worst = consequences.DuePoint(machine=machine, state=State.OVERDUE)
    assert [line.point for line in outlook(machine, NOON).services] == [worst, soon, late]


def test_work_on_a_shop_day_has_its_day_and_reason(machine):
    point = consequences.DuePoint(machine=machine)
    job = consequences.PlannedJob(machine=machine, day=TODAY + DAY)
    consequences.PlannedWork(
        job=job, service=point.service, work_key=point.work_key, why="it goes out on Friday"
    )
    found = outlook(machine, NOON)
    (line,) = found.services
    assert (line.planned_day, line.why_planned) == (TODAY + DAY, "it goes out on Friday")
    assert found.jobs == [job]


def test_a_covered_service_is_planned_with_the_one_that_covers_it(machine):
    point = consequences.DuePoint(machine=machine)
    upper = factories.Service(name="500 h service")
    factories.cover(machine.makeup, upper, point.service)
    job = consequences.PlannedJob(machine=machine, day=TODAY + DAY)
    consequences.PlannedWork(job=job, service=upper, why="it goes out on Friday")
    (line,) = outlook(machine, NOON).services
    assert (line.planned_day, line.why_planned) == (TODAY + DAY, "Done with 500 h service.")


def test_work_put_beyond_the_horizon_has_its_reason_alone(machine):
    point = consequences.DuePoint(machine=machine)
    consequences.PlannedWork(
        job=None,
        plan=consequences.Plan(),
        machine=machine,
        service=point.service,
        work_key=point.work_key,
        why="no open day",
    )
    (line,) = outlook(machine, NOON).services
    assert (line.planned_day, line.why_planned) == (None, "no open day")


def test_blocks_that_are_over_are_left_out_and_hard_ones_stand_first(machine):
    consequences.Block(machine=machine, first_day=TODAY - 9 * DAY, last_day=TODAY - DAY)
    soft = consequences.Block(machine=machine)
    hard = consequences.Block(machine=machine, hard=True)
    assert [block for block, _ in outlook(machine, NOON).blocks] == [hard, soft]


def test_each_meter_has_a_fan_and_a_machine_without_meters_none(machine):
    assert outlook(machine, NOON).fans == []
    for kind in ("hours", "distance"):
        meter = factories.Meter(machine=machine, kind=kind)
        factories.Reading(meter=meter)
    titles = [chart.title for chart in outlook(machine, NOON).fans]
    assert titles == ["Hour meter: past and to come", "Odometer: past and to come"]
