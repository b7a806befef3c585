"""Services, the intervals at which they recur, and the lines that follow: machine x service."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import Q

from fleet.models import Interval, MakeUpMeter, Service
from scheduling.loading.clock import Ints
from scheduling.loading.machines import Machines
from scheduling.loading.scope import Scope

INTERVAL_FIELDS = (
    "pk", "service_id", "makeup_id", "machine_id", "meter_kind", "every", "first_at",
    "every_months", "every_days", "first_months", "first_days", "season_month", "season_day",
    "idle_months", "early", "late", "early_percent", "late_percent", "meter_cap",
    "early_days", "late_days", "days_cap", "anchor", "end_of_month", "hard",
)  # fmt: skip
MOST_MAKEUPS = 1000
"""More make-ups than this are not named one by one in a query."""

SERVICE_FIELDS = ("pk", "code", "name", "blocks_rental", "value")


@dataclass(frozen=True)
class Rules:
    """What is set up for the machines of a run.

    intervals: key -> its fields by name; services: key -> its fields by name;
    covers: pairs (a service, one that doing it satisfies); expected: make-up -> kinds of meter;
    machine, interval: the lines, row in `Machines` and key of the interval that holds, shape (l,).
    """

    intervals: dict[int, dict[str, Any]]
    services: dict[int, dict[str, Any]]
    covers: list[tuple[int, int]]
    expected: dict[int, set[str]]
    machine: Ints
    interval: Ints

    def column(self, name: str) -> list[Any]:
        """Return one field of each line's interval."""
        return [self.intervals[key][name] for key in self.interval.tolist()]


def load_rules(machines: Machines, scope: Scope) -> Rules:
    """Load services, intervals and make-ups' meters, with five queries."""
    own = _intervals(Interval.objects.filter(scope.on("machine")))
    kinds = _makeups(machines)
    general = _intervals(Interval.objects.filter(kinds, makeup__isnull=False))
    services = {row["pk"]: row for row in Service.objects.order_by("pk").values(*SERVICE_FIELDS)}
    through = Service.covers.through.objects.order_by("pk")
    pairs = list(through.values_list("from_service_id", "to_service_id"))
    expected: dict[int, set[str]] = {}
    meters = MakeUpMeter.objects.filter(kinds).order_by()
    for makeup, kind in meters.values_list("makeup_id", "kind"):
        expected.setdefault(makeup, set()).add(kind)
    machine, interval = _lines(machines, general, own)
    return Rules({**general, **own}, services, pairs, expected, machine, interval)


def _makeups(machines: Machines) -> Q:
    """Return the condition on rows of the machines' make-ups; none where they are very many."""
    makeups = np.unique(machines.makeup).tolist()
    return Q(makeup__in=makeups) if len(makeups) <= MOST_MAKEUPS else Q()


def _intervals(query: Any) -> dict[int, dict[str, Any]]:
    return {row["pk"]: row for row in query.order_by("pk").values(*INTERVAL_FIELDS)}


def _lines(
    machines: Machines, general: dict[int, dict[str, Any]], own: dict[int, dict[str, Any]]
) -> tuple[Ints, Ints]:
    """Give each machine its make-up's intervals; its own takes the place for the same service."""
    of_makeup: dict[int, dict[int, int]] = {}
    for key, row in general.items():
        of_makeup.setdefault(row["makeup_id"], {})[row["service_id"]] = key
    of_machine: dict[int, dict[int, int]] = {}
    for key, row in own.items():
        of_machine.setdefault(row["machine_id"], {})[row["service_id"]] = key
    pairs = [
        (i, key)
        for i, (pk, makeup) in enumerate(
            zip(machines.ids.tolist(), machines.makeup.tolist(), strict=True)
        )
        for key in {**of_makeup.get(makeup, {}), **of_machine.get(pk, {})}.values()
    ]
    table = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    return table[:, 0], table[:, 1]
