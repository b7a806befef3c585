"""Many counters book one machine for the same days at once: one of them has it, round by round.

    createdb race && DATABASE_URL=postgres:///race python manage.py migrate
    DATABASE_URL=postgres:///race python -m tests.benchmarks.desk_race [CLIENTS ROUNDS]

Each client is a thread with a connection of its own; all begin at one moment.  Prints how many
rounds were won by one, by several, by nobody, and how many bookings of the machine overlap.
"""

import os
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from threading import Barrier
from typing import Any

import django

CLIENTS, ROUNDS = 50, 200
AHEAD = timedelta(days=40)
"""So far ahead that nothing but another promise stands against it."""


def main(clients: int, rounds: int) -> None:
    """Race, count, print."""
    from django.db import connection  # noqa: PLC0415

    from fleet.actions.make_bookings import NewBooking  # noqa: PLC0415
    from fleet.models import Booking, Person  # noqa: PLC0415
    from fleet.refusal import Refusal  # noqa: PLC0415
    from scheduling.actions.book_and_check_out import Decision, book_unless_blocked  # noqa: PLC0415

    machine, desk = _machine_and_desk()
    gate, start = Barrier(clients), datetime.now(UTC)

    def press(n: int, number: int) -> str:
        first = start.date() + AHEAD + timedelta(days=2 * number)
        new = NewBooking(
            machine,
            first,
            first + timedelta(days=1),
            f"Customer {n}",
            form_key=f"{machine.tag} {number} {n}",  # a key of an earlier race would be answered
        )
        gate.wait(120)
        try:
            book_unless_blocked(new, Decision(Person.objects.get(pk=desk.pk), datetime.now(UTC)))
        except Refusal as no:
            return "refused" if "booked" in no.sentence else no.sentence
        else:
            return "won"

    def last(n: int) -> None:
        gate.wait(120)
        connection.close()

    found: Counter[str] = Counter()
    with ThreadPoolExecutor(clients) as pool:
        for number in range(rounds):
            told = Counter(pool.map(press, range(clients), [number] * clients))
            won = told.pop("won", 0)
            found[{0: "nobody", 1: "one"}.get(won, "several")] += 1
            found["other sentences"] += sum(n for said, n in told.items() if said != "refused")
        list(pool.map(last, range(clients)))
    spans = Booking.objects.filter(machine=machine, cancelled_at=None).order_by("starts_at")
    stand = list(spans.values_list("starts_at", "ends_at"))
    overlaps = sum(a[1] > b[0] for a, b in pairwise(stand))
    sys.stdout.write(
        f"{clients} clients, {rounds} rounds: won by {dict(found)}; overlaps {overlaps}\n"
    )


def _machine_and_desk() -> tuple[Any, Any]:
    from fleet.models import Machine, MachineClass, MakeUp, Person, Shop, Yard  # noqa: PLC0415
    from scheduling.models import MachineState  # noqa: PLC0415

    name = f"Race {datetime.now(UTC):%H%M%S}"
    shop = Shop.objects.create(name=name)
    makeup = MakeUp.objects.create(
        machine_class=MachineClass.objects.create(name=name), maker="Tarnbeck", model=name
    )
    yard = Yard.objects.create(name=name, shop=shop)
    machine = Machine.objects.create(tag=name, makeup=makeup, yard=yard)
    MachineState.objects.create(
        machine=machine, state="clear", computed_for=datetime.now(UTC).date()
    )
    return machine, Person.objects.create(username=name, role="desk", shop=shop)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    main(*([int(word) for word in sys.argv[1:3]] or [CLIENTS, ROUNDS]))
