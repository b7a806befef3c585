"""A shop with a booking at risk: its machine's oil change is overdue, and another quad is free."""

from dataclasses import dataclass
from datetime import date, timedelta

from fleet.models import Booking, Machine
from scheduling.models import MachineState, PlannedJob, State
from tests import consequences, factories
from tests.factories import TODAY
from tests.scheduling.bench_data import BenchCase, bench_case


@dataclass
class WaysCase:
    """The shop, the booking that is at risk, and the machine that is free."""

    shop: BenchCase
    booking: Booking
    free: Machine


def ways_case(today: date = TODAY) -> WaysCase:
    """The oil change stands on the booking's own first day, four days from today: too late."""
    first = today + timedelta(days=4)
    case = bench_case(today)
    PlannedJob.objects.filter(pk=case.job.pk).update(day=first)
    case.job.plan.first_day = today
    case.job.plan.save()
    point = case.work.due_point
    point.p10 = point.p50 = point.p90 = today
    point.save()
    consequences.Block(machine=case.machine, due_point=point, first_day=today)
    booking = factories.Booking(
        machine=case.machine, customer="Two Sisters", first_day=first,
        last_day=first + timedelta(days=3), value=900,
    )  # fmt: skip
    free = factories.Machine(yard=case.machine.yard, makeup=case.machine.makeup, tag="Q-2")
    MachineState.objects.create(machine=free, state=State.CLEAR, computed_for=today)
    return WaysCase(case, booking, free)
