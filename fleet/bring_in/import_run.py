"""One import on its way: what it has made so far, held back until it is written in order."""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import TypeVar

from django.db.models import Model

from fleet.actions.open_hires import hires_for
from fleet.bring_in.made_rows import MadeRows
from fleet.bring_in.one_shop import refuse_others_machine
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import SiteNames
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.models import (
    Accessory,
    Booking,
    Covering,
    Customer,
    Hire,
    Interval,
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Meter,
    MeterKind,
    Part,
    Person,
    Qualification,
    RecordedMeter,
    Service,
    ServiceRecord,
    Shop,
    Skill,
    StockMovement,
    WalkRoundPoint,
    WorkingHours,
    Yard,
)

Made = TypeVar("Made", bound=Model)

WRITTEN_IN_ORDER: tuple[type[Model], ...] = (
    Shop, Yard, MachineClass, WalkRoundPoint, Accessory, Skill, MakeUp, MakeUpMeter, Service, Part,
    Person, Qualification, WorkingHours, Machine, Meter, Interval, Covering, StockMovement,
    ServiceRecord, RecordedMeter, Customer, Hire, Booking,
)  # fmt: skip
"""Models that an import makes rows of; what a row refers to is written before it."""
LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
"""When a meter counts as fitted where nothing tells when its machine began to work."""
BATCH = 500


@dataclass(frozen=True)
class LaterReading:
    """A value that a row of another kind tells of a meter; taken as a reading if it fits."""

    machine: Machine
    kind: str
    value: float
    when: str


@dataclass
class ImportRun:
    """What an import goes by and what it makes.

    only: the one shop for which somebody brings in who manages no other.  units, time_zone: of a
    shop or yard that it has to make.  lacking: what was made because a row
    named it, and what is to complete of it.  later: values of meters that other rows told.
    concerned, machine_ids: machines whose facts change, those to be written by `id()`.
    """

    site: SiteNames
    by: Person | None
    now: datetime
    make_missing: bool = False
    only: Shop | None = None
    units: str = "us"
    time_zone: str = "UTC"
    pending: dict[type[Model], list[Model]] = field(default_factory=lambda: defaultdict(list))
    lacking: list[tuple[Model, str]] = field(default_factory=list)
    later: list[LaterReading] = field(default_factory=list)
    made: MadeRows = field(default_factory=MadeRows)
    concerned: dict[int, Machine] = field(default_factory=dict)
    settled: list[int] = field(default_factory=list)
    machine_ids: set[int] = field(default_factory=set)

    def make(self, row: Made, lacks: str = "") -> Made:
        """Hold a row back to be written; lacks: what somebody has to complete."""
        self.pending[type(row)].append(row)
        if lacks:
            self.lacking.append((row, lacks))
        return row

    def concern(self, machine: Machine) -> None:
        """Note that facts of a machine change."""
        self.concerned[id(machine)] = machine

    def machine(self, tag: str) -> Machine:
        """Return the machine of a tag.

        Raises:
            RowTrouble: none or more than one fits, or it is another shop's.

        """
        found = self.site.machine(tag)
        refuse_others_machine(found, self.only)
        return found

    def today(self, yard: Yard | None = None) -> date:
        """Return the day of a yard."""
        return self.now.astimezone(yard.zone if yard else UTC).date()

    def write(self) -> None:
        """Write what was held back, each model at once, in order; each booking with its hire."""
        bookings = [row for row in self.pending[Booking] if isinstance(row, Booking)]
        self.pending[Customer][:], self.pending[Hire][:] = hires_for(bookings)
        for model in WRITTEN_IN_ORDER:
            rows = self.pending.pop(model, [])
            if rows:
                model._default_manager.bulk_create(rows, batch_size=BATCH)
                self.made.add(model, [row.pk for row in rows])

    def fit(self, machine: Machine, kind: str, first_value: float = 0.0) -> Meter:
        """Fit a machine's first meter of a kind, from the start of its work on."""
        meter = Meter(
            machine=machine,
            kind=kind,
            fitted_at=start_of(machine),
            first_value=first_value,
            noted_by=self.by,
        )
        self.site.meters[id(machine)].append(meter)
        kinds = self.site.kinds[id(machine.makeup)]
        if kind not in kinds and (self.make_missing or machine.makeup.pk is None):
            kinds.add(kind)
            self.make(MakeUpMeter(makeup=machine.makeup, kind=kind))
        self.concern(machine)
        return self.make(meter)

    def meter_of(self, machine: Machine, kind: str, moment: datetime) -> Meter | None:
        """Return the meter that a machine carried; fit a missing one where that was asked for."""
        meter = self.site.meter_at(machine, kind, moment)
        has = any(one.kind == kind for one in self.site.meters[id(machine)])
        if meter is None and not has and self.make_missing:
            return self.fit(machine, kind)
        return meter

    def lacks(self, what: str, name: str) -> RowTrouble:
        """Return the trouble of a row that names what is not there."""
        return RowTrouble(
            f"There is no {what} “{name}”. Correct the name, set it up first, or let what is"
            " missing be made with the file."
        )


def start_of(machine: Machine) -> datetime:
    """Return when a machine's first meter counts as fitted: the first moment that is known."""
    zone = machine.yard.zone
    if machine.started_on:
        return datetime.combine(machine.started_on, time(), zone)
    if machine.year:  # a model year is sold from the year before on
        return datetime(machine.year - 1, 1, 1, tzinfo=zone)
    return LONG_AGO


def go_through(
    sheet: TypedSheet, run: ImportRun, one: Callable[[SheetRow, ImportRun], bool]
) -> None:
    """Hand each row of data to `one`, which returns whether it adds anything; count what came."""
    report = sheet.report
    for line, cells in sheet.data():
        try:
            if one(SheetRow(sheet, line, cells), run):
                report.added += 1
            else:
                report.same += 1
        except RowTrouble as trouble:
            report.refuse(line, cells, trouble.sentence)


KIND_OF_FIELD = {
    "hours": MeterKind.HOURS,
    "odometer": MeterKind.DISTANCE,
    "cycles": MeterKind.CYCLES,
}
"""Fields that hold the value of one kind of meter."""
