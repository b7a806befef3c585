"""Time what one changed reading costs: its machine worked out again, database included.

    python manage.py load_demo && python manage.py nightly
    python -m tests.benchmarks.refresh_speed [TAG]

Readings are added to one machine of the site's own database, in a transaction that is rolled back
at the end, and after each the machine is refreshed.  Prints the median of wall clock and of
processor time, in ms, and the stages.
"""

import os
import sys
import time
from datetime import datetime, timedelta
from statistics import median
from typing import Any

import django

TIMES = 25
"""Readings added."""

FIRST_TIMES = 2
"""Refreshes that are not counted: the first of a process puts its queries into SQL."""


def measure(tag: str | None, now: datetime) -> dict[str, float]:
    """Return median milliseconds by what was measured."""
    from django.db import transaction  # noqa: PLC0415

    from fleet.models import Meter, MeterKind, Reading  # noqa: PLC0415

    fitted = Meter.objects.filter(kind=MeterKind.HOURS, removed_at=None, readings__isnull=False)
    meter = fitted.filter(**({"machine__tag": tag} if tag else {})).order_by("pk").first()
    if meter is None:
        sys.exit("No such machine with readings here; run manage.py load_demo first.")
    last = meter.readings.filter(read_at__lte=now).latest("read_at")
    spent: list[dict[str, float]] = []
    with transaction.atomic():
        for number in range(TIMES):
            Reading.objects.create(
                meter=meter, value=last.value + 0.1 * (number + 1), source=last.source,
                read_at=now - timedelta(minutes=TIMES - number), entered_at=now,
            )  # fmt: skip
            spent.append(_once(meter.machine_id, now))
        transaction.set_rollback(True)
    counted = spent[FIRST_TIMES:]
    return {name: 1000 * median(one[name] for one in counted) for name in counted[0]}


def _once(machine: int, now: datetime) -> dict[str, float]:
    from scheduling.due.refresh import refresh  # noqa: PLC0415

    wall, own = time.perf_counter(), time.process_time()
    report = refresh([machine], now)
    spent: dict[str, Any] = {
        "wall": time.perf_counter() - wall,
        "processor": time.process_time() - own,
    }
    return spent | report.seconds


def main() -> None:
    """Measure and print."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    from django.utils import timezone  # noqa: PLC0415

    found = measure(sys.argv[1] if len(sys.argv) > 1 else None, timezone.now())
    sys.stdout.write(", ".join(f"{name} {value:.1f} ms" for name, value in found.items()) + "\n")


if __name__ == "__main__":
    main()
