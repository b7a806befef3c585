"""A counter on Monday 2 March 2026 at noon: a desk that is signed in, and a quad to let."""

from dataclasses import dataclass
from datetime import date, timedelta

import pytest
from django.test import Client

from fleet import models
from fleet.actions.hand_over import WALK_ROUND, WalkRound, check_out
from tests import consequences, factories
from tests.factories import NOON, TODAY

LAST = date(2026, 3, 8)
FINE = {f"point_{n}": "yes" for n in range(len(WALK_ROUND))}
"""The walk round with every point in order, as the form sends it."""


@dataclass
class Case:
    """Who stands at the counter, and what stands in the yard."""

    desk: models.Person
    machine: models.Machine
    meter: models.Meter

    def another(self) -> models.Machine:
        """Put a second clear machine of the same make-up beside the first."""
        machine = factories.Machine(makeup=self.machine.makeup, yard=self.machine.yard)
        consequences.MachineState(machine=machine)
        return machine

    def booking(self, first: date = TODAY, last: date = LAST) -> models.Booking:
        """Promise the machine."""
        return factories.Booking(machine=self.machine, first_day=first, last_day=last)

    def out(self, **days: date) -> models.Booking:
        """Promise the machine and let it out."""
        booking = self.booking(**days)
        check_out(booking, WalkRound(), by=self.desk, now=NOON)
        return booking


def open_counter(client: Client, monkeypatch: pytest.MonkeyPatch) -> Case:
    """Sign a desk in; its machine has been let before and its meter read three days ago."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    desk = factories.Person(role=models.Role.DESK, first_name="Dee", last_name="Wren")
    machine = factories.Machine(
        tag="Q-1", yard__shop=desk.shop, makeup__machine_class__name="Quad",
        started_on=date(2026, 1, 1),
    )  # fmt: skip
    meter = factories.Meter(machine=machine, fitted_at=NOON - timedelta(days=60))
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=3))
    factories.Interval(makeup=machine.makeup, every=1000.0)
    past = TODAY - timedelta(days=60)
    factories.Booking(machine=machine, first_day=past, last_day=TODAY - timedelta(days=10))
    consequences.MachineState(machine=machine)
    client.force_login(desk)
    return Case(desk, machine, meter)
