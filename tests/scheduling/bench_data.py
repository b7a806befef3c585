"""A small shop with one machine that needs an oil change, planned for a mechanic's day."""

from dataclasses import dataclass
from datetime import date, timedelta

from fleet import models
from scheduling.models import DuePoint, MachineState, Plan, PlannedJob, PlannedWork, State
from tests import factories
from tests.factories import NOON, TODAY, key_of


@dataclass
class BenchCase:
    """Facts and one planned job."""

    mechanic: models.Person
    manager: models.Person
    machine: models.Machine
    meter: models.Meter
    service: models.Service
    job: PlannedJob
    work: PlannedWork


def oil_change(shop: models.Shop) -> models.Service:
    """Make a service with a step, a caution, a limit and needs."""
    service = factories.Service(code="oil", name="Engine oil and filter", minutes=60)
    models.ServiceStep.objects.create(
        service=service, position=1, text="Drain warm", tool="19 mm socket, pan"
    )
    service.cautions.add(
        models.Caution.objects.create(
            code="hot-oil", signal="warning", text="Hot oil burns.", source="from memory"
        )
    )
    models.ServiceNeed.objects.create(service=service, place="engine oil")
    models.ServiceNeed.objects.create(service=service, place="oil filter")
    models.ServiceNeed.objects.create(service=service, place="sump washer")
    models.Limit.objects.create(service=service, name="Oil pressure", unit="kPa", low=200)
    return service


def fill_make_up(makeup: models.MakeUp) -> tuple[models.Part, models.Part]:
    """Give a make-up its oil and its filter, both kept on the shelf."""
    oil = factories.Part(number="OIL", name="oil 10W-30", kind="fluid")
    oil_filter = factories.Part(number="OF-1")
    models.Fluid.objects.create(makeup=makeup, place="engine oil", capacity_ml=2000, part=oil)
    models.FittingPart.objects.create(makeup=makeup, place="oil filter", part=oil_filter)
    return oil, oil_filter


def bench_case(day: date = TODAY) -> BenchCase:
    """Plan the oil change of one machine for a mechanic's day."""
    shop = factories.Shop()
    machine = factories.Machine(yard__shop=shop, tag="Q-1")
    fill_make_up(machine.makeup)
    service = oil_change(shop)
    factories.Interval(service=service, makeup=machine.makeup, every=100)
    meter = factories.Meter(machine=machine)
    factories.Reading(meter=meter, value=120, read_at=NOON - timedelta(days=3))
    point = DuePoint.objects.create(
        machine=machine, service=service, state=State.OVERDUE, meter_kind="hours", why="20 h past"
    )
    MachineState.objects.create(machine=machine, state=State.OVERDUE, computed_for=TODAY)
    mechanic = factories.Mechanic(shop=shop, first_name="Jo")
    plan = Plan.objects.create(shop=shop, made_at=NOON, first_day=TODAY, days=28)
    job = PlannedJob.objects.create(
        plan=plan, machine=machine, day=day, mechanic=mechanic, minutes=90
    )
    work = PlannedWork.objects.create(
        plan=plan,
        job=job,
        machine=machine,
        work_key=key_of("Q-1", "oil"),
        service=service,
        due_point=point,
        minutes=60,
        why="the first day with room",
    )
    return BenchCase(mechanic, factories.Person(shop=shop), machine, meter, service, job, work)
