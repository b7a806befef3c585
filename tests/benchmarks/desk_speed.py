"""Time the desk's pages on a large yard: the counter's answer for a class, calendar, and find.

    EVENER_DATA=/tmp/large python manage.py migrate
    EVENER_DATA=/tmp/large python -m tests.benchmarks.desk_speed [MACHINES BOOKINGS TIMES]

Fills an empty database with 500 machines in classes of up to 200 and 100,000 bookings of five
years, then asks as a signed-in desk does, by the site's own pages.  Prints the median and the 95th
percentile in ms, what the processor took of it (the median, which a busy machine leaves as it is),
and the number of queries.
"""

import os
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from statistics import median, quantiles
from typing import Any

import django

MACHINES, BOOKINGS, TIMES = 500, 100_000, 20
CLASS = 200
"""Machines of the largest class."""
FIVE_YEARS = 1825
LENGTH = 3
"""Days of each booking."""


def main(machines: int, bookings: int, times: int) -> None:
    """Fill, ask, print."""
    from django.test import Client  # noqa: PLC0415

    from fleet.models import Machine, MachineClass, Person  # noqa: PLC0415

    if not Machine.objects.exists():
        _fill(machines, bookings)
    desk, kind = Person.objects.get(username="desk"), MachineClass.objects.get(name="Class 0")
    client = Client(headers={"host": "localhost"})
    client.force_login(desk)
    today = datetime.now(UTC).date()
    days = {"first_day": today + timedelta(days=9), "last_day": today + timedelta(days=12)}
    asked: dict[str, tuple[str, dict[str, Any]]] = {
        f"counter, class of {CLASS}": ("/counter/", {"machine_class": kind.pk, **days}),
        f"calendar, {machines} machines, 4 weeks": ("/counter/calendar/", {"weeks": 4}),
        f"calendar, {machines} machines, 26 weeks": ("/counter/calendar/", {"weeks": 26}),
        "counter, today": ("/counter/", {}),
        "find, a customer of all bookings": ("/counter/find/", {"q": "Alder Creek"}),
        "find, a name with a slip": ("/counter/find/", {"q": "Aldr Crek"}),
        "find, a machine": ("/counter/find/", {"q": "M-0042"}),
        "find, what is not there": ("/counter/find/", {"q": "Whin Moor"}),
    }
    for name, (address, query) in asked.items():
        spent, worked, queries, size = _timed(lambda a=address, q=query: client.get(a, q), times)
        p95 = quantiles(spent, n=20)[-1]
        sys.stdout.write(f"{name}: median {median(spent):.0f} ms, p95 {p95:.0f} ms,"
              f" processor {median(worked):.0f} ms,"
              f" {queries} queries, {size / 1e6:.1f} MB\n")  # fmt: skip


def _timed(ask: Callable[[], Any], times: int) -> tuple[list[float], list[float], int, int]:
    from django.db import connection  # noqa: PLC0415
    from django.test.utils import CaptureQueriesContext  # noqa: PLC0415

    with CaptureQueriesContext(connection) as seen:
        answer = ask()
    assert answer.status_code == 200, answer.status_code
    queries = len(seen)  # now: the next request empties what was seen
    spent, worked = [], []
    for _ in range(times):
        began, before = time.perf_counter(), time.process_time()
        ask()
        spent.append(1000 * (time.perf_counter() - began))
        worked.append(1000 * (time.process_time() - before))
    return spent, worked, queries, len(answer.content)


def _fill(machines: int, bookings: int) -> None:
    from fleet.models import Machine, MachineClass, MakeUp, Person, Service, Shop, Yard  # noqa: PLC0415
    from scheduling.models import DuePoint, MachineState  # noqa: PLC0415

    now = datetime.now(UTC)
    shop = Shop.objects.create(name="Large")
    yard = Yard.objects.create(name="Large", shop=shop)
    Person.objects.create(username="desk", role="desk", shop=shop)
    sizes = [CLASS, machines - CLASS] if machines > CLASS else [machines]
    kinds = [
        MachineClass.objects.create(name=f"Class {n}", day_rate=100) for n in range(len(sizes))
    ]
    makeups = [
        MakeUp.objects.create(machine_class=one, maker="Tarnbeck", model=f"T{one.pk}")
        for one in kinds
    ]
    service = Service.objects.create(code="oil", name="Oil service", minutes=60)
    rows = [
        Machine(tag=f"M-{n:04d}", makeup=makeups[0 if n < CLASS else 1], yard=yard,
                started_on=now.date() - timedelta(days=FIVE_YEARS))
        for n in range(machines)
    ]  # fmt: skip
    Machine.objects.bulk_create(rows)
    points = [
        DuePoint(
            machine=one, service=service, state="clear", meter_kind="hours", rate_per_day=2.0,
            remaining=20.0 + n % 150, p10=now.date() + timedelta(days=5 + n % 70),
            p50=now.date() + timedelta(days=10 + n % 90),
            p90=now.date() + timedelta(days=18 + n % 120),
        )
        for n, one in enumerate(rows)
    ]  # fmt: skip
    DuePoint.objects.bulk_create(points)
    MachineState.objects.bulk_create(
        MachineState(machine=one, state="clear", computed_for=now.date()) for one in rows
    )
    _bookings(rows, bookings, now)


def _bookings(rows: list[Any], bookings: int, now: datetime) -> None:
    """Promise each machine as often: nine in ten are over, and were handed out and back."""
    from fleet.actions.keep_times import give_times  # noqa: PLC0415
    from fleet.models import Booking, Customer, HandOver, Hire  # noqa: PLC0415

    each = bookings // len(rows)
    customer = Customer(name="Alder Creek", made_at=now).keyed()
    customer.save()
    gap = max(FIVE_YEARS // each, LENGTH + 1)
    for at, machine in enumerate(rows):
        start = now.date() - timedelta(days=gap * (each * 9 // 10)) + timedelta(days=at % gap)
        made = []
        hires = Hire.objects.bulk_create(
            Hire(customer=customer, made_at=now).keyed() for _ in range(each)
        )
        for n, hire in enumerate(hires):
            first = start + timedelta(days=gap * n)
            made.append(give_times(Booking(
                machine=machine, hire=hire, customer="Alder Creek", first_day=first,
                last_day=first + timedelta(days=LENGTH - 1),
                made_at=now - timedelta(days=FIVE_YEARS + 1),
            )))  # fmt: skip
        Booking.objects.bulk_create(made)
        over = [row for row in made if row.ends_at <= now]
        HandOver.objects.bulk_create(
            HandOver(booking=row, direction=way, at=at_)
            for row in over
            for way, at_ in (("out", row.starts_at), ("back", row.ends_at))
        )


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    main(*([int(word) for word in sys.argv[1:4]] or [MACHINES, BOOKINGS, TIMES]))
