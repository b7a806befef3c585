"""Running again: nothing twice, one machine alone, a number of queries that stays."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Machine
from scheduling.due.refresh import refresh
from scheduling.models import Block, DuePoint, MachineState, UseModel
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, point, serviced, steady, writes

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil():
    return make.Service(name="Oil change", code="oil")


def test_second_run_writes_nothing(oil):
    machine = make.Machine()
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=100)
    make.Hold(machine=machine)
    make.Booking(machine=machine)
    first = refresh(None, NOW, refit=True)
    assert first.created == 5  # due point, state, and blocks by hold, overdue service, booking
    with CaptureQueriesContext(connection) as seen:
        again = refresh(None, NOW, refit=True)
    assert writes(seen.captured_queries) == []
    assert (again.created, again.updated, again.deleted) == (0, 0, 0)


def test_queries_do_not_grow_with_the_fleet(oil):
    makeup, yard = make.MakeUp(), make.Yard()
    make.Interval(service=oil, makeup=makeup, every=100)

    def count(machines):
        for _ in range(machines):
            machine = make.Machine(makeup=makeup, yard=yard)
            steady(machine, every=30)
            serviced(machine, oil, 30)
            make.Booking(machine=machine)
        refresh(None, NOW, shop=yard.shop, refit=True)
        with CaptureQueriesContext(connection) as seen:
            refresh(None, NOW, shop=yard.shop, refit=True)
        return len(seen)

    assert count(5) == count(45)


def test_one_machine_alone_comes_out_as_with_the_fleet(oil):
    makeup, yard = make.MakeUp(), make.Yard()
    make.Interval(service=oil, makeup=makeup, every=100)
    machines = [make.Machine(makeup=makeup, yard=yard) for _ in range(8)]
    for number, machine in enumerate(machines):
        steady(machine, rate=1.0 + number)
        make.Booking(machine=machine)
    refresh(None, NOW, refit=True)
    with CaptureQueriesContext(connection) as seen:
        report = refresh([machines[3].pk], NOW)
    assert writes(seen.captured_queries) == []
    assert report.machines == 1


def test_new_reading_moves_its_machine_alone(oil):
    makeup, yard = make.MakeUp(), make.Yard()
    make.Interval(service=oil, makeup=makeup, every=250)
    machines = [make.Machine(makeup=makeup, yard=yard) for _ in range(3)]
    meters = [steady(machine) for machine in machines]
    refresh(None, NOW)
    make.Reading(meter=meters[1], read_at=NOW + timedelta(hours=1), value=346)
    report = refresh([machines[1].pk], NOW + timedelta(hours=1))
    assert point(machines[1]).life_now == pytest.approx(346)
    assert (report.created, report.deleted) == (0, 0)
    assert UseModel.objects.count() == 1


def test_shops_learn_apart(oil):
    for rate in (1.0, 8.0):
        machine = make.Machine()
        steady(machine, rate=rate)
        make.Interval(service=oil, makeup=machine.makeup, every=100)
    refresh(None, NOW)
    assert UseModel.objects.count() == 2
    rates = DuePoint.objects.order_by("machine").values_list("rate_per_day", flat=True)
    assert list(rates) == pytest.approx([1.0, 8.0], rel=0.3)


def test_retired_machine_loses_its_consequences(oil):
    machine = make.Machine()
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=100)
    refresh(None, NOW)
    assert DuePoint.objects.exists()
    Machine.objects.update(retired_on=TODAY)
    refresh([machine.pk], NOW)
    assert not DuePoint.objects.exists()
    assert not MachineState.objects.exists()
    assert not Block.objects.exists()


def test_what_is_said_after_now_does_not_count(oil):
    machine = make.Machine()
    meter = steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 30)
    make.Reading(meter=meter, read_at=NOW + timedelta(days=3), value=352)
    make.ServiceRecord(machine=machine, service=oil, done_at=NOW + timedelta(days=3))
    refresh(None, NOW)
    assert (point().life_now, point().due_life) == pytest.approx((340, 470))
