"""What a machine needs next, in a line each: for somebody who stands before it with a phone."""

from dataclasses import dataclass
from datetime import date

from fleet.models import Machine, Person
from fleet.queries.mine import machines_of
from scheduling.due.due_words import due_point_words, remaining_words
from scheduling.models import Block, DuePoint, PlannedJob
from scheduling.queries.fleet_state import gravity
from scheduling.queries.machine_list import machines_with_state
from scheduling.queries.said_blocks import said_blocks, with_causes

MOST = 4
"""Services that are named; the machine's page has them all."""


@dataclass(frozen=True)
class ServiceToCome:
    """One service: its state, its due point, what is left of it."""

    point: DuePoint
    due: str
    left: str


@dataclass(frozen=True)
class ScanNeeds:
    """What stands against a machine today, what falls due first, and its next day in the shop."""

    stops: list[str]
    needs: list[ServiceToCome]
    more: int
    job: PlannedJob | None


def scanned(person: Person, pk: int) -> Machine | None:
    """Return the machine of a label's number, if a person may look at it."""
    return machines_with_state(person).filter(pk=pk).first()


def stays_as(person: Person, machine: Machine) -> int | None:
    """Return the number of the entry that a machine was merged into, None where it was not."""
    stays = machine.merged_into_id
    return stays if stays and machines_of(person).filter(pk=stays).exists() else None


def scan_needs(machine: Machine, today: date, *, for_hand: bool = False) -> ScanNeeds:
    """Gather it; five queries at the most.  for_hand: nothing of what was promised to customers."""
    rows = DuePoint.objects.filter(machine=machine).select_related("service", "interval")
    points = list(rows.annotate(rank=gravity()).order_by("rank", "p50", "service__name"))
    for point in points:
        point.machine = machine
    blocks = list(
        with_causes(Block.objects.filter(machine=machine, first_day__lte=today))
        .exclude(last_day__lt=today)
        .order_by("-hard", "first_day")
    )
    if for_hand:
        blocks = [block for block in blocks if block.kind != Block.Kind.FALLS_DUE]
    said = said_blocks(blocks, today)
    jobs = PlannedJob.objects.filter(machine=machine, day__gte=today).order_by("day")
    units = machine.yard.units
    return ScanNeeds(
        stops=[said[block.pk] for block in blocks],
        needs=[
            ServiceToCome(
                point, due_point_words(point, units, today), remaining_words(point, units)
            )
            for point in points[:MOST]
        ],
        more=max(len(points) - MOST, 0),
        job=jobs.select_related("mechanic").first(),
    )
