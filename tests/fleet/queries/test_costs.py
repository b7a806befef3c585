"""Money against hours run, over a span."""

from datetime import timedelta

import pytest

from fleet.actions.fit_meters import roll_over
from fleet.models import Machine, MachineClass, RecordedMeter, ServiceRecord
from fleet.queries.costs import Cost, cost_of, costs, hours_run, money_spent
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)
SINCE = NOON - timedelta(days=365)


def ran(machine, *values, **facts):
    """Give a machine a meter that showed these values, a day apart, the last at noon."""
    meter = factories.Meter(machine=machine, **facts)
    for back, value in enumerate(reversed(values)):
        factories.Reading(meter=meter, value=value, read_at=NOON - timedelta(days=back))
    return meter


def test_cost_an_hour_is_money_through_hours():
    machine = factories.Machine()
    ran(machine, 100, 120, 150)
    factories.ServiceRecord(machine=machine, cost=200)
    found = cost_of(machine, SINCE)
    assert (found.money, found.hours, found.per_hour) == (200, 50, 4)


def test_a_machine_that_did_not_run_has_no_cost_an_hour():
    assert Cost("M", 1, 500, 0).per_hour is None


def test_struck_out_and_corrected_records_cost_nothing():
    machine = factories.Machine()
    wrong = factories.ServiceRecord(machine=machine, cost=900)
    factories.ServiceRecord(machine=machine, cost=90, corrects=wrong)
    factories.ServiceRecord(machine=machine, cost=5, void=True)
    factories.ServiceRecord(machine=machine, cost=7, done_at=SINCE - timedelta(days=1))
    assert money_spent([machine.pk], SINCE) == {machine.pk: 90}


def test_readings_that_do_not_stand_run_no_hours():
    machine = factories.Machine()
    meter = ran(machine, 100, 110)
    wrong = factories.Reading(meter=meter, value=999, read_at=NOON + timedelta(hours=1))
    factories.Reading(meter=meter, value=112, read_at=NOON + timedelta(hours=1), corrects=wrong)
    assert hours_run([machine.pk], SINCE) == {machine.pk: 12}


def test_meters_before_and_after_a_swap_add_up_and_none_counts_backwards():
    machine = factories.Machine()
    ran(machine, 500, 540, removed_at=NOON)
    ran(machine, 3, 10, fitted_at=NOON)
    assert hours_run([machine.pk], SINCE)[machine.pk] == 47
    backwards = factories.Machine()
    ran(backwards, 50, 20)
    assert hours_run([backwards.pk], SINCE)[backwards.pk] == 0


def test_a_swap_on_record_carries_on():
    """100 and 300 h, swapped at 480 by one that showed 12 and now 42: 380 and 30 h."""
    machine = factories.Machine()
    old = ran(machine, 100, 300, removed_at=NOON + HOUR, last_value=480)
    new = factories.Meter(machine=machine, fitted_at=NOON + HOUR, first_value=12)
    factories.Reading(meter=new, value=42, read_at=NOON + 2 * HOUR)
    assert hours_run([machine.pk], SINCE) == {old.machine_id: 410}


def test_a_rollover_carries_on():
    meter = ran(factories.Machine(), 9900, rolls_over_at=10_000)
    new = roll_over(meter, NOON + HOUR, 10_000, by=None, now=NOON + 3 * HOUR)
    factories.Reading(meter=new, value=130, read_at=NOON + 2 * HOUR)
    assert hours_run([meter.machine_id], SINCE) == {meter.machine_id: 230}


def test_a_swap_before_the_span_runs_no_hours():
    machine = factories.Machine()
    factories.Meter(machine=machine, removed_at=SINCE - DAY, last_value=900)
    ran(machine, 20, 30, fitted_at=SINCE - DAY, first_value=5)
    assert hours_run([machine.pk], SINCE) == {machine.pk: 10}


def test_what_was_noted_at_services_alone_counts():
    meter = factories.Meter()
    for back, value in ((200, 1000), (100, 1090), (0, 1200)):
        noted(meter, value, NOON - back * DAY)
    noted(meter, 5000, NOON, void=True)
    wrong = noted(meter, 10, NOON - 201 * DAY)
    factories.ServiceRecord(machine=meter.machine, corrects=wrong, done_at=wrong.done_at)
    factories.Reading(meter=meter, value=1150, read_at=NOON - 50 * DAY)
    assert hours_run(None, SINCE) == {meter.machine_id: 200}


def noted(meter, value, at, **facts):
    record = factories.ServiceRecord(machine=meter.machine, done_at=at, **facts)
    RecordedMeter.objects.create(record=record, meter=meter, value=value)
    return record


def test_odometers_run_no_hours():
    machine = factories.Machine()
    ran(machine, 0, 90_000, kind="distance")
    assert hours_run(None, SINCE) == {}


def test_classes_add_up_their_machines_dearest_first():
    for name, cost in (("Quad", 10), ("Quad", 30), ("Lift", 500)):
        kind, _ = MachineClass.objects.get_or_create(name=name)
        machine = factories.Machine(makeup__machine_class=kind)
        ran(machine, 0, 10)
        factories.ServiceRecord(machine=machine, cost=cost)
    found = costs(Machine.objects.all(), SINCE)
    assert [(c.name, c.machines, c.per_hour) for c in found.by_class] == [
        ("Lift", 1, 50),
        ("Quad", 2, 2),
    ]
    assert [cost.per_hour for _, cost in found.dearest] == [50, 3, 1]


@pytest.mark.parametrize("machines", [1, 8])
def test_the_number_of_queries_does_not_grow(machines, django_assert_num_queries):
    for _ in range(machines):
        machine = factories.Machine()
        ran(machine, 0, 10)
        factories.ServiceRecord(machine=machine, cost=5)
    assert ServiceRecord.objects.count() == machines
    with django_assert_num_queries(4):
        costs(Machine.objects.all(), SINCE)
