"""Services, the intervals at which they recur, and the lines that follow: machine x service."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import Q, QuerySet

from fleet.models import Interval, Machine, MakeUpMeter, Service
from fleet.queries.covered_services import covering_pairs
from scheduling.facts.machine_arrays import MachineArrays
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import Ints

INTERVAL_FIELDS = (
    "pk", "service_id", "makeup_id", "machine_id", "meter_kind", "every", "first_at",
    "every_months", "every_days", "first_months", "first_days", "season_month", "season_day",
    "idle_months", "early", "late", "early_percent", "late_percent", "meter_cap",
    "early_days", "late_days", "days_cap", "anchor", "end_of_month", "hard",
)  # fmt: skip
SERVICE_FIELDS = ("pk", "code", "name", "blocks_rental", "value")


@dataclass(frozen=True)
class Rules:
    """What is set up for the machines of a run.

    intervals: key -> its fields by name; services: key -> its fields by name;
    covers: (a make-up, a service, one that doing it satisfies there); expected: make-up -> kinds of
    meter;
    machine, interval: the lines, row in `MachineArrays` and key of the interval that holds, shape
    (l,).
    """

    intervals: dict[int, dict[str, Any]]
    services: dict[int, dict[str, Any]]
    covers: list[tuple[int, int, int]]
    expected: dict[int, set[str]]
    machine: Ints
    interval: Ints

    def column(self, name: str) -> list[Any]:
        """Return one field of each line's interval."""
        return [self.intervals[key][name] for key in self.interval.tolist()]


def load_rules(machines: MachineArrays, scope: Scope) -> Rules:
    """Load services, intervals and make-ups' meters, with four queries."""
    intervals = _by_key(rows_of(_intervals, scope), INTERVAL_FIELDS)
    own = {key: row for key, row in intervals.items() if row["machine_id"] is not None}
    general = {key: row for key, row in intervals.items() if row["machine_id"] is None}
    services = _by_key(rows_of(_services, scope), SERVICE_FIELDS)
    expected: dict[int, set[str]] = {}
    for makeup, kind in rows_of(_meters, scope):
        expected.setdefault(makeup, set()).add(kind)
    machine, interval = _lines(machines, general, own)
    pairs = [(of, upper, lower) for of, upper, lower in rows_of(covering_pairs, scope)]
    return Rules({**general, **own}, services, pairs, expected, machine, interval)


def _intervals(scope: Scope) -> QuerySet[Interval, Any]:
    """Return the intervals of the machines' make-ups and their own."""
    which = scope.on("machine") | _makeups(scope)
    return Interval.objects.filter(which).order_by("pk").values_list(*INTERVAL_FIELDS)


def _makeups(scope: Scope) -> Q:
    """Return the condition on rows of the make-ups of the scope's machines."""
    return Q(makeup__in=Machine.objects.filter(scope.machines()).values("makeup"))


def _services(scope: Scope) -> QuerySet[Service, Any]:
    return Service.objects.order_by("pk").values_list(*SERVICE_FIELDS)


def _meters(scope: Scope) -> QuerySet[MakeUpMeter, Any]:
    return MakeUpMeter.objects.filter(_makeups(scope)).order_by().values_list("makeup_id", "kind")


def _by_key(rows: Iterable[tuple[Any, ...]], names: Sequence[str]) -> dict[int, dict[str, Any]]:
    """Return rows by their key, which is the first column, each as its fields by name."""
    return {row[0]: dict(zip(names, row, strict=True)) for row in rows}


def _lines(
    machines: MachineArrays, general: dict[int, dict[str, Any]], own: dict[int, dict[str, Any]]
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
