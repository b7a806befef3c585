"""Several desks at once, short form: what was drawn ends in one truth, told alike everywhere.

The long form is `python -m tests.benchmarks.desk_drawn`, on the database of DATABASE_URL.
"""

from datetime import timedelta

import pytest

from fleet.actions.hand_over import WalkRound, check_out
from fleet.actions.hold_machines import NewHold, place_hold
from fleet.models import Role
from scheduling.due.refresh import refresh
from scheduling.models import ToldRisk
from tests import consequences, factories
from tests.factories import NOON
from tests.properties.desk_histories import DAY, Desk, what_is_wrong
from tests.scheduling.interface.client_of import program

CLIENTS, ACTS = 3, 9


def desk_of(clients: int, start, machines: int = 3) -> Desk:
    """Three machines of a class that are read and were let before, and who lets them."""
    shop = factories.Shop()
    yard = factories.Yard(shop=shop)
    makeup = factories.MakeUp()
    factories.Interval(makeup=makeup, every=1000.0)
    rows, soon = [], factories.Service(name="Grease")
    for number in range(machines):
        machine = factories.Machine(
            makeup=makeup, yard=yard, started_on=start.date() - timedelta(days=60)
        )
        meter = factories.Meter(machine=machine, fitted_at=start - timedelta(days=60))
        factories.Reading(meter=meter, value=50.0, read_at=start - timedelta(days=2))
        consequences.MachineState(machine=machine, computed_for=start.date())
        if number == 0:  # falls due on some of the bookings: the counter and the letters say so
            factories.Interval(service=soon, machine=machine, makeup=None, every=54.0)
        rows.append(machine)
    factories.Person(role=Role.DESK, shop=shop)  # who reads the letters
    people = [factories.Person(role=Role.MANAGER, shop=shop) for _ in range(clients)]
    return Desk(rows, people, start)


def asker(desk):
    """Ask the interface for a day, as a program with a key does."""
    own, of = program("desk"), desk.machines[0].makeup.machine_class.name

    def ask(day):
        asked = {"class": of, "first_day": day, "last_day": day}
        rows = own.get("/api/v1/may-go-out", **asked).json()["machines"]
        return {row["tag"]: row["answer"] for row in rows}

    return ask


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("seed", [1, 2])
def test_what_several_desks_drew_ends_in_one_truth(monkeypatch, seed):
    desk = desk_of(CLIENTS, NOON)
    monkeypatch.setattr("django.utils.timezone.now", desk.now)
    desk.live(seed, ACTS)
    assert what_is_wrong(desk, asker(desk)) == []
    assert desk.done["book"] >= 2, desk.done


@pytest.mark.django_db(transaction=True)
def test_letters_that_say_otherwise_than_the_counter_are_found_out(monkeypatch):
    desk = desk_of(1, NOON)
    monkeypatch.setattr("django.utils.timezone.now", desk.now)
    today, (due, rattles, late) = NOON.date(), desk.machines
    held = factories.Booking(machine=rattles, first_day=today)
    risky = factories.Booking(machine=due, first_day=today, last_day=today + 9 * DAY)
    gone = factories.Booking(machine=late, first_day=today - 3 * DAY, last_day=today - DAY)
    place_hold(NewHold(held.machine, "rattles"), by=desk.people[0], now=NOON)
    check_out(gone, WalkRound(), by=desk.people[0], now=NOON - 3 * DAY)
    refresh({one.pk for one in desk.machines}, NOON)  # as the desk's own acts owe it
    assert what_is_wrong(desk, asker(desk)) == []
    ToldRisk.objects.all().delete()
    monkeypatch.setattr("tests.properties.desk_histories.warn_of_risks", lambda *a: 0)
    monkeypatch.setattr("tests.properties.desk_histories.late_returns", lambda now: [])
    wrong = what_is_wrong(desk, asker(desk))
    untold = [one for one in wrong if "Told: False" in one]
    assert {booking for booking in (held, risky) for one in untold if str(booking) in one} == {
        held, risky,
    }  # fmt: skip
    assert [one for one in wrong if "late at" in one and one.endswith(f"booking {gone.pk}")]
