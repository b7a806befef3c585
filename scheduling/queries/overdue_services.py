"""What is overdue, worst first, each with the booking that it blocks and the day it is planned."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from fleet.models import Booking, Machine, Shop
from fleet.quantities import show_step
from fleet.saying import counted
from scheduling.models import DuePoint, State
from scheduling.queries.bookings_at_risk import Risk
from scheduling.queries.known_machines import KnownMachines
from scheduling.queries.planned_for import day_of_work, planned_for

DAYS_OF_A_MONTH = 30.44
"""Mean length of a month of the Gregorian calendar, days; weighs lateness alone."""


@dataclass(frozen=True)
class Overdue:
    """One overdue service of one machine."""

    point: DuePoint
    past: str
    gravity: float
    planned_day: date | None
    booking: Booking | None

    @property
    def machine(self) -> Machine:
        """The machine concerned."""
        return self.point.machine


@dataclass(frozen=True)
class OverdueMachine:
    """One machine with its overdue services, the worst first."""

    services: Sequence[Overdue]

    @property
    def machine(self) -> Machine:
        """The machine concerned."""
        return self.services[0].machine

    @property
    def worst(self) -> Overdue:
        """The service that is worst."""
        return self.services[0]

    @property
    def booking(self) -> Booking | None:
        """The booking that it blocks, if any."""
        return self.worst.booking

    @property
    def planned_day(self) -> date | None:
        """The day by which all of it is planned; None where some of it has no day."""
        days = [row.planned_day for row in self.services]
        return max(day for day in days if day) if all(days) else None

    @property
    def unplanned(self) -> int:
        """How many of its services have no day yet."""
        return sum(row.planned_day is None for row in self.services)


def overdue_machines(rows: Iterable[Overdue]) -> list[OverdueMachine]:
    """Gather overdue services by machine, the worst machine first; what is held is left out.

    A machine on hold counts as held alone: its hold has to go first.
    """
    by_machine: dict[int, list[Overdue]] = {}
    for row in rows:  # worst first, so that each machine stands where its worst service does
        now = getattr(row.machine, "now", None)
        if now is None or now.state != State.HELD:
            by_machine.setdefault(row.machine.pk, []).append(row)
    return [OverdueMachine(own) for own in by_machine.values()]


def overdue_points(shop: Shop) -> QuerySet[DuePoint]:
    """Return the overdue due points of a shop's working machines, with their services."""
    return DuePoint.objects.filter(
        state=State.OVERDUE, machine__yard__shop=shop, machine__retired_on=None
    ).select_related("service", "interval")


def overdue(
    shop: Shop, risks: Iterable[Risk], today: date, known: KnownMachines | None = None
) -> list[Overdue]:
    """Return what is overdue, worst first: hard limits, then by the share of the interval past.

    known: machines that the page has fetched already.
    """
    blocked: dict[int, Booking] = {}
    for risk in risks:
        blocked.setdefault(risk.booking.machine_id, risk.booking)
    points = list(overdue_points(shop))
    (known or KnownMachines(shop)).beside(points)
    planned = planned_for({point.machine_id for point in points})
    rows = [
        Overdue(
            point,
            how_far_past(point, today),
            _gravity(point, today),
            day_of_work(planned, point),
            blocked.get(point.machine_id),
        )
        for point in points
    ]
    return sorted(rows, key=lambda row: (-row.gravity, row.machine.tag))


def how_far_past(point: DuePoint, today: date) -> str:
    """Say how far a service is past its due point: "31 h and 12 days"."""
    parts = []
    if point.remaining is not None and point.remaining < 0:
        parts.append(show_step(-point.remaining, point.meter_kind, point.machine.yard.units))
    if point.due_day and point.due_day < today:
        parts.append(counted((today - point.due_day).days, "day"))
    if parts:
        return " and ".join(parts)
    return "never yet done" if point.never_done else "most likely past its window by now"


def _gravity(point: DuePoint, today: date) -> float:
    """Return how bad it is: the share of its interval that is past; a hard limit tops all."""
    shares = [0.0]
    rule = point.interval
    if rule and rule.every and point.remaining is not None:
        shares.append(-point.remaining / rule.every)
    if rule and point.due_day:
        length = rule.every_days or (rule.every_months or 12) * DAYS_OF_A_MONTH
        shares.append((today - point.due_day).days / length)
    return max(shares) + (1000 if point.hard else 0)
