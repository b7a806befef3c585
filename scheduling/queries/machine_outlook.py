"""What follows from the facts of one machine: due points, blocks, planned work, its fans."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from fleet.charts import Chart, draw_fan
from fleet.models import Machine, MeterKind
from scheduling.due.due_words import due_point_words, forecast_words, remaining_words
from scheduling.models import Block, DuePoint, PlannedJob, PlannedWork
from scheduling.queries.due_chances import DueChances, chances
from scheduling.queries.fan_figures import chart_of
from scheduling.queries.fleet_state import gravity
from scheduling.queries.machine_use import MachineUse, machine_use
from scheduling.queries.meter_fan import fan_of
from scheduling.queries.planned_for import Planned, planned_for
from scheduling.queries.said_blocks import said_blocks, with_causes
from scheduling.queries.seasons_ahead import seasons_ahead


@dataclass(frozen=True)
class ServiceLine:
    """One service of a machine in words."""

    point: DuePoint
    due: str
    remaining: str
    when: str
    planned_day: date | None
    why_planned: str


@dataclass(frozen=True)
class MachineOutlook:
    """What follows from the facts of one machine."""

    services: Sequence[ServiceLine]
    blocks: Sequence[tuple[Block, str]]
    jobs: Sequence[PlannedJob]
    invented: bool
    fans: Sequence[Chart]
    chances: DueChances
    seasons: Sequence[str]


def outlook(machine: Machine, now: datetime, by: date | None = None) -> MachineOutlook:
    """Gather what follows for a machine; the number of queries depends on its meters alone.

    by: a day for which the chance of each service is asked.
    """
    today = now.astimezone(machine.yard.zone).date()
    planned = _planned(machine)
    points = _points(machine)
    bringing = planned_for([machine.pk], named=True)
    known = machine_use(machine, now)
    return MachineOutlook(
        services=[
            _line(point, machine, _work_for(point, planned, bringing), today) for point in points
        ],
        blocks=_blocks(machine, today),
        jobs=_jobs(machine, today),
        invented=any(point.service.invented for point in points),
        fans=_fans(known),
        chances=chances(points, known, by),
        seasons=seasons_ahead(known),
    )


def _planned(machine: Machine) -> dict[str, PlannedWork]:
    rows = PlannedWork.objects.filter(machine=machine).select_related("job")
    return {work.work_key: work for work in rows}


def _points(machine: Machine) -> Sequence[DuePoint]:
    rows = DuePoint.objects.filter(machine=machine).select_related("service", "interval")
    points = list(rows.annotate(rank=gravity()).order_by("rank", "p50", "service__name"))
    for point in points:
        point.machine = machine  # known already: spares a query a line
    return points


def _work_for(
    point: DuePoint, planned: dict[str, PlannedWork], bringing: Planned
) -> tuple[PlannedWork | None, str]:
    """Return the work that brings a service about, and why it stands there."""
    own, work = planned.get(point.work_key), bringing.get((point.machine_id, point.service_id))
    if work and (own is None or work.pk != own.pk):
        return work, f"Done with {work.service}."
    return own, own.why if own else ""


def _line(
    point: DuePoint, machine: Machine, planned: tuple[PlannedWork | None, str], today: date
) -> ServiceLine:
    units = machine.yard.units
    work, why = planned
    return ServiceLine(
        point=point,
        due=due_point_words(point, units, today),
        remaining=remaining_words(point, units),
        when=forecast_words(point, today),
        planned_day=work.job.day if work and work.job else None,
        why_planned=why,
    )


def _blocks(machine: Machine, today: date) -> Sequence[tuple[Block, str]]:
    """Return what bars the machine, each with its sentence, the hard first."""
    lasting = Q(last_day=None) | Q(last_day__gte=today)
    rows = with_causes(Block.objects.filter(lasting, machine=machine))
    blocks = list(rows.order_by("-hard", "first_day"))
    said = said_blocks(blocks, today)
    return [(block, said[block.pk]) for block in blocks]


def _jobs(machine: Machine, today: date) -> Sequence[PlannedJob]:
    return list(
        PlannedJob.objects.filter(Q(day__gte=today) | Q(last_day__gte=today), machine=machine)
        .select_related("mechanic", "second")
        .order_by("day")
    )


def _fans(known: MachineUse) -> Sequence[Chart]:
    """Draw one fan for each kind of meter that the machine carries."""
    charts = []
    for kind in MeterKind:
        found = fan_of(known, kind)
        if found is not None:
            charts.append(draw_fan(chart_of(found, kind), f"fan-{kind}"))
    return charts
