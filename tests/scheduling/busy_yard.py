"""A counter and a bench in a yard of some size: machines, bookings and a past that can be grown.

One quad, Q-1, is let from today on; its oil change is due soon and planned for today; a night has
been (use is learnt, states are known).
"""

from dataclasses import dataclass
from datetime import timedelta

from fleet import models
from scheduling.due.refresh import refresh
from scheduling.models import DuePoint
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.bench_data import fill_make_up, oil_change

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Size:
    """How much there is: other machines of the class, bookings to come and past of each, weeks."""

    others: int = 3
    bookings: int = 2
    weeks: int = 10


SMALL, LARGE = Size(), Size(others=12, bookings=8, weeks=60)


@dataclass
class BusyYard:
    """The people and the machine that acts are tried on."""

    desk: models.Person
    mechanic: models.Person
    machine: models.Machine
    meter: models.Meter
    booking: models.Booking

    def planned(self, *codes: str) -> list[str]:
        """Plan services for the mechanic's day; return their keys."""
        plan = consequences.Plan(shop=self.mechanic.shop)
        job = consequences.PlannedJob(plan=plan, machine=self.machine, mechanic=self.mechanic)
        points = DuePoint.objects.filter(machine=self.machine, service__code__in=codes)
        return [
            consequences.PlannedWork(job=job, service=point.service, due_point=point).work_key
            for point in points
        ]

    @property
    def last_value(self) -> float:
        """What the meter showed last."""
        return max(self.meter.readings.values_list("value", flat=True))


def busy_yard(size: Size = SMALL) -> BusyYard:
    """Build the yard and let a night pass over it."""
    shop = factories.Shop()
    desk = factories.Person(role=models.Role.DESK, shop=shop)
    factories.Person(role=models.Role.DESK, shop=shop)
    mechanic = factories.Mechanic(shop=shop)
    yard = factories.Yard(shop=shop)
    makeup = factories.MakeUp()
    fill_make_up(makeup)
    oil, check = oil_change(shop), factories.Service(code="check", name="Safety check")
    factories.Interval(service=oil, makeup=makeup, every=size.weeks * 10 + 300.0)
    factories.Interval(service=check, makeup=makeup, every=5000.0, every_months=12)
    machines = [
        factories.Machine(tag=f"Q-{n + 1}", makeup=makeup, yard=yard, started_on=_ago(size))
        for n in range(size.others + 1)
    ]
    meters = [_past(machine, size) for machine in machines]
    for machine in machines:
        _bookings(machine, size)
    own = factories.Booking(
        machine=machines[0], first_day=TODAY, last_day=TODAY + 6 * DAY, customer="Two Pines"
    )
    refresh(None, NOON, shop=shop, refit=True)
    return BusyYard(desk, mechanic, machines[0], meters[0], own)


def _ago(size):
    return TODAY - (size.weeks * 7 + 30) * DAY


def _past(machine, size):
    """Read it each week, ten hours more; some findings settled, the yearly check done."""
    meter = factories.Meter(machine=machine, fitted_at=NOON - (size.weeks * 7 + 10) * DAY)
    for week in range(size.weeks):
        at = NOON - (7 * (size.weeks - week) - 4) * DAY
        factories.Reading(meter=meter, value=10.0 * (week + 1), read_at=at)
        factories.Finding(machine=machine, seen_at=at, settled_at=at, text=f"seen in week {week}")
        if week % 5 == 4:
            service = models.Service.objects.get(code="check")
            factories.ServiceRecord(machine=machine, service=service, done_at=at)
    way = factories.Meter(machine=machine, kind="distance", fitted_at=meter.fitted_at)
    factories.Reading(meter=way, value=500_000.0, read_at=NOON - 3 * DAY)
    return meter


def _bookings(machine, size):
    """Hires that are over, and hires to come, a week each, none of them today."""
    for number in range(size.bookings):
        past = TODAY - (size.weeks * 7 - 7 * number) * DAY
        done = factories.Booking(machine=machine, first_day=past, last_day=past + 5 * DAY)
        for direction, day in (("out", past), ("back", past + 5 * DAY)):
            models.HandOver.objects.create(
                booking=done, direction=direction, at=NOON - (TODAY - day)
            )
        ahead = TODAY + 10 * (number + 1) * DAY
        factories.Booking(machine=machine, first_day=ahead, last_day=ahead + 3 * DAY)
