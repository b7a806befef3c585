"""What machines cost against the hours that they ran, over a span of time."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery, Sum

from fleet.models import Machine, Meter, MeterKind, RecordedMeter, Service
from fleet.queries.standing_readings import standing
from fleet.queries.standing_records import corrected_records, standing_records


@dataclass(frozen=True)
class Cost:
    """Money spent on a machine or a class in a span, and the hours that its meters ran in it."""

    name: str
    machines: int
    money: float
    hours: float
    pk: int | None = None

    @property
    def per_hour(self) -> float | None:
        """Money an hour; None where it did not run, or nobody read the meter twice."""
        return self.money / self.hours if self.hours >= 1 else None

    def with_others(self, others: "Cost | None", name: str) -> "Cost":
        """Return the sum of this and what was added up before."""
        if others is None:
            return Cost(name, self.machines, self.money, self.hours)
        return Cost(
            name,
            self.machines + others.machines,
            self.money + others.money,
            self.hours + others.hours,
        )


@dataclass(frozen=True)
class Costs:
    """Cost by class, dearest an hour first, and the dearest machines."""

    by_class: list[Cost]
    dearest: list[tuple[Machine, Cost]]


def money_spent(
    machine_ids: Iterable[int] | None, since: datetime, service: Service | None = None
) -> dict[int, float]:
    """Return machine -> money of its standing records since a moment; records without cost are 0.

    None for all machines.  service: of this one alone.
    """
    rows = standing_records().filter(done_at__gte=since, cost__isnull=False)
    if machine_ids is not None:
        rows = rows.filter(machine__in=machine_ids)
    if service is not None:
        rows = rows.filter(service=service)
    sums = rows.order_by().values_list("machine").annotate(total=Sum("cost"))
    return {machine: float(total or Decimal(0)) for machine, total in sums}


def hours_run(machine_ids: Iterable[int] | None, since: datetime) -> dict[int, float]:
    """Return machine -> hours that its hour meters ran since a moment; one query.

    A simple figure from facts alone. What each meter showed first and last since then counts:
    standing readings, values noted at standing services, and, where it was swapped or rolled over,
    what it ended at and the next one began at. A meter that seems to run backwards counts nothing.
    """
    meters = Meter.objects.filter(kind=MeterKind.HOURS)
    if machine_ids is not None:
        meters = meters.filter(machine__in=machine_ids)
    read = standing().filter(read_at__gte=since)
    noted = RecordedMeter.objects.filter(record__done_at__gte=since, record__void=False)
    noted = noted.exclude(record__in=corrected_records())
    rows = meters.order_by("machine_id", "fitted_at").annotate(
        **_first_and_last(read, "read_at", "read"),
        **_first_and_last(noted, "record__done_at", "noted"),
    )
    found = _ends(rows.values(), since)
    hours: dict[int, float] = {}
    for of_meter in found:
        hours[of_meter.machine] = hours.get(of_meter.machine, 0.0) + of_meter.ran
    return hours


@dataclass
class _Ends:
    """What a meter showed first and last in a span, hours."""

    machine: int
    first: tuple[datetime, float] | None = None
    last: tuple[datetime, float] | None = None

    def shown(self, at: datetime, value: float) -> None:
        """Take in what it showed at a moment; at one moment the lower came first."""
        seen = (at, value)
        self.first = min(self.first or seen, seen)
        self.last = max(self.last or seen, seen)

    @property
    def ran(self) -> float:
        """Hours between the two; none where it seems to run backwards."""
        if self.first is None or self.last is None:
            return 0.0
        return max(self.last[1] - self.first[1], 0.0)


def _ends(meters: Iterable[Mapping[str, Any]], since: datetime) -> list[_Ends]:
    """Return what each meter showed first and last in the span; by machine and time of fitting.

    What the first meter of a machine showed when it was fitted is often nobody's reading but the
    form's 0, so it does not count; where one followed another, both values were read off.
    """
    found = []
    followed: set[tuple[int, datetime]] = set()
    for row in meters:
        ends = _Ends(row["machine_id"])
        seen = [(row[f"{end}_at"], row[end]) for end in SHOWN]
        if (row["machine_id"], row["fitted_at"]) in followed:
            seen.append((row["fitted_at"], row["first_value"]))
        if row["removed_at"] is not None:
            followed.add((row["machine_id"], row["removed_at"]))
            seen.append((row["removed_at"], row["last_value"]))
        for at, value in seen:
            if at is not None and value is not None and at >= since:
                ends.shown(at, value)
        found.append(ends)
    return found


SHOWN = ("read_first", "read_last", "noted_first", "noted_last")
"""What is asked of each meter: the first and the last reading and value noted at a service."""


def _first_and_last(rows: QuerySet[Any], at: str, name: str) -> dict[str, Subquery]:
    """Return value and moment of the first and the last of a meter's rows, by name."""
    own = rows.filter(meter=OuterRef("pk"))
    early, late = own.order_by(at, "value"), own.order_by(f"-{at}", "-value")
    return {
        f"{name}_first_at": Subquery(early.values(at)[:1]),
        f"{name}_first": Subquery(early.values("value")[:1]),
        f"{name}_last_at": Subquery(late.values(at)[:1]),
        f"{name}_last": Subquery(late.values("value")[:1]),
    }


def costs(
    machines: QuerySet[Machine],
    since: datetime,
    dearest: int = 10,
    *,
    service: Service | None = None,
) -> Costs:
    """Return the cost of each class, and the machines that cost most an hour; four queries.

    service: what this one alone cost, over all hours that they ran.
    """
    money, hours = money_spent(None, since, service), hours_run(None, since)
    each: list[Cost] = []
    classes: dict[str, Cost] = {}
    rows = machines.order_by().values_list("pk", "tag", "makeup__machine_class__name")
    for pk, tag, name in rows:
        own = Cost(tag, 1, money.get(pk, 0.0), hours.get(pk, 0.0), pk)
        each.append(own)
        classes[name] = own.with_others(classes.get(name), name)
    top = [cost for cost in sorted(each, key=_dearest) if cost.per_hour][:dearest]
    known = machines.in_bulk([cost.pk for cost in top if cost.pk])
    return Costs(sorted(classes.values(), key=_dearest), [(known[c.pk], c) for c in top if c.pk])


def cost_of(machine: Machine, since: datetime) -> Cost:
    """Return the cost of one machine; two queries."""
    money = money_spent([machine.pk], since).get(machine.pk, 0.0)
    hours = hours_run([machine.pk], since).get(machine.pk, 0.0)
    return Cost(machine.tag, 1, money, hours, machine.pk)


def _dearest(cost: Cost) -> tuple[float, float, str]:
    return -(cost.per_hour or 0), -cost.money, cost.name
