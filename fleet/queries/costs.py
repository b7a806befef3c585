"""What machines cost against the hours that they ran, over a span of time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import F, FloatField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from fleet.models import Machine, Meter, MeterKind, ServiceRecord
from fleet.queries.standing_readings import standing


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


def money_spent(machine_ids: Iterable[int] | None, since: datetime) -> dict[int, float]:
    """Return machine -> money of its standing records since a moment; records without cost are 0.

    None for all machines.
    """
    rows = ServiceRecord.objects.filter(
        done_at__gte=since, void=False, corrected_by=None, cost__isnull=False
    )
    if machine_ids is not None:
        rows = rows.filter(machine__in=machine_ids)
    sums = rows.order_by().values_list("machine").annotate(total=Sum("cost"))
    return {machine: float(total or Decimal(0)) for machine, total in sums}


def hours_run(machine_ids: Iterable[int] | None, since: datetime) -> dict[int, float]:
    """Return machine -> hours between the first and last reading of its hour meters since then.

    A simple figure from facts alone: readings that a later one corrects do not count, and a meter
    that seems to run backwards counts nothing.
    """
    of_meter = standing().filter(meter=OuterRef("pk"), read_at__gte=since).values("value")
    meters = Meter.objects.filter(kind=MeterKind.HOURS)
    if machine_ids is not None:
        meters = meters.filter(machine__in=machine_ids)
    spans = meters.annotate(
        start=Subquery(of_meter.order_by("read_at")[:1], output_field=FloatField()),
        end=Subquery(of_meter.order_by("-read_at")[:1], output_field=FloatField()),
    ).annotate(ran=Coalesce(F("end") - F("start"), 0.0, output_field=FloatField()))
    hours: dict[int, float] = {}
    for machine, ran in spans.order_by().values_list("machine", "ran"):
        hours[machine] = hours.get(machine, 0.0) + max(ran, 0.0)
    return hours


def costs(machines: QuerySet[Machine], since: datetime, dearest: int = 10) -> Costs:
    """Return the cost of each class, and the machines that cost most an hour; four queries."""
    money, hours = money_spent(None, since), hours_run(None, since)
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
