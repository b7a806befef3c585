"""What intervals that are not saved yet would mean: the next due points of two machines.

The same loading and the same core as for every due point; nothing is written.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from django.db.models import Count

from fleet.models import Interval, Machine, MakeUp, Service
from scheduling.due.consequences import work_out
from scheduling.due.due_rows import DUE_FIELDS, due_rows, said_of
from scheduling.due.due_words import due_point_words, forecast_words, remaining_words
from scheduling.due.learning import kept_lessons, learn
from scheduling.due.meter_use import KindUse, kind_use
from scheduling.facts.interval_rows import INTERVAL_FIELDS, Rules
from scheduling.facts.load_facts import Facts, load_facts
from scheduling.facts.scope import Scope
from scheduling.models import DuePoint

SHOWN = 2
"""Machines for which the due points are shown."""
NOT_SAVED = 2**40
"""Keys of intervals that are not saved stand above those of any that is."""


@dataclass(frozen=True)
class DuePreview:
    """One service of one machine as it would stand."""

    machine: Machine
    service: Service
    point: DuePoint
    due: str
    remaining: str
    when: str
    own_interval: bool = False


def preview(
    makeup: MakeUp, rows: Sequence[Interval], now: datetime, machine: Machine | None = None
) -> list[DuePreview]:
    """Return the next due points of two machines of a make-up under intervals as they are given.

    Those that are read most come first; where the intervals are of one machine, that alone.  A
    machine with an interval of its own keeps it, unless that is the one that is given.
    """
    rows_of = Machine.objects.filter(makeup=makeup, retired_on=None)
    if machine is not None:
        rows_of = rows_of.filter(pk=machine.pk)
    machines = list(
        rows_of.annotate(read=Count("meters__readings"))
        .select_related("yard__shop", "makeup__machine_class")
        .order_by("-read", "tag")[:SHOWN]
    )
    own = set(Interval.objects.filter(machine__in=machines).values_list("machine_id", "service_id"))
    found = []
    for one in machines:
        points = _points(one, rows, now)
        today = now.astimezone(one.yard.zone).date()
        for row in rows:
            point = points.get(row.service_id)
            if point is not None:
                point.service, point.machine = row.service, one
                kept = row.machine_id is None and (one.pk, row.service_id) in own
                found.append(_said(one, point, today, own_interval=kept))
    return found


def _said(machine: Machine, point: DuePoint, today: date, *, own_interval: bool) -> DuePreview:
    units = machine.yard.units
    return DuePreview(
        machine, point.service, point, due_point_words(point, units, today),
        remaining_words(point, units), forecast_words(point, today), own_interval,
    )  # fmt: skip


def _points(machine: Machine, rows: Sequence[Interval], now: datetime) -> dict[int, DuePoint]:
    """Work the due points of one machine out, by service."""
    facts = load_facts(Scope.of(machine.yard.shop_id, [machine.pk]), now)
    facts = replace(facts, rules=_with(facts.rules, rows))
    outcome = work_out(facts, _uses(machine.yard.shop_id, facts))
    table = due_rows(outcome, said_of(outcome))
    named = [dict(zip(DUE_FIELDS, row, strict=True)) for row in table.values()]
    keys = [service for _, service in table]
    for row in named:
        row["interval_id"] = None  # it may not be saved yet
    return {key: DuePoint(**row) for key, row in zip(keys, named, strict=True)}


def _uses(shop_id: int, facts: Facts) -> dict[str, KindUse]:
    """Return how the machine is used, by what its shop has learnt; else by the machine alone."""
    meters = facts.use.meters
    kept = kept_lessons(shop_id, meters)
    lessons = {kind: kept.get(kind) or learn(facts.use, meters[kind]) for kind in meters}
    return {kind: kind_use(facts.use, meters[kind], lessons[kind]) for kind in meters}


def _with(rules: Rules, rows: Sequence[Interval]) -> Rules:
    """Return rules in which these intervals hold for the make-up, in the place of what is saved."""
    intervals = dict(rules.intervals)
    machine, interval = rules.machine.tolist(), rules.interval.tolist()
    for number, row in enumerate(rows, start=1):
        standing = [
            at for at, key in enumerate(interval) if intervals[key]["service_id"] == row.service_id
        ]
        its_own = any(intervals[interval[at]]["machine_id"] for at in standing)
        if row.machine_id is None and its_own:
            continue
        for at in reversed(standing):
            del machine[at], interval[at]
        key = NOT_SAVED + number
        intervals[key] = {name: getattr(row, name) for name in INTERVAL_FIELDS} | {"pk": key}
        machine.append(0)
        interval.append(key)
    return replace(
        rules,
        intervals=intervals,
        machine=np.array(machine, dtype=np.int64),
        interval=np.array(interval, dtype=np.int64),
    )
