"""A row of texts into a reading: which machine, which meter, when, what it showed."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.db.models.functions import Upper

from fleet.intake.reading_dates import parse_when
from fleet.intake.reading_rows import ReadingRow
from fleet.models import Machine, MeterKind, Person, Source, Yard
from fleet.numerals import Commas
from fleet.quantities import UNIT_WORDS, parse_use
from fleet.queries.judge_readings import LABELS, NewReading
from fleet.queries.machine_called import led_by_former_tags
from fleet.queries.meter_lives import Fittings
from fleet.saying import joined
from fleet.validation import ReadingReason, Seen

METER_WORDS = {
    MeterKind.HOURS: {"hours", "hour", "h", "hrs", "hour meter", "hourmeter", "engine hours"},
    MeterKind.DISTANCE: {"odometer", "odo", "distance", "miles", "mileage", "mi", "km"},
    MeterKind.CYCLES: {"cycles", "cycle", "cycle counter", "counter", "lifts"},
}
"""What people call a kind of meter, lower case."""
KIND_OF_UNIT = {word: kind for kind, words in UNIT_WORDS.items() for word in words}
"""The kind of meter that has a unit; no unit is of two kinds."""


class RowRefused(Exception):
    """A row that is no reading; the sentence says what is wrong with it."""

    def __init__(
        self, reason: ReadingReason, sentence: str, machine: Machine | None = None
    ) -> None:
        super().__init__(sentence)
        self.reason, self.sentence, self.machine = reason, sentence, machine


@dataclass(frozen=True, kw_only=True)
class RowConventions:
    """How rows are to be read: where from, by whom, for which yard, what a comma means.

    keep: what is refused waits to be mended.  tells: consequences follow each batch; an import that
    tells once at its end says so itself.
    """

    source: str = Source.FILE
    file_name: str = ""
    by: Person | None = None
    yard: Yard | None = None
    commas: Commas | None = None
    dry_run: bool = False
    keep: bool = True
    tells: bool = True


@dataclass
class MachinesByTag:
    """Machines by the tags that rows name, with their meters; four queries for any number."""

    by_tag: dict[str, Machine] = field(default_factory=dict)
    fittings: Fittings = field(default_factory=Fittings)
    zones: dict[int, ZoneInfo] = field(default_factory=dict)
    """By number of the yard; asked of the yard itself it takes long for each of a million rows."""

    @classmethod
    def named(cls, tags: Iterable[str]) -> "MachinesByTag":
        """Load machines by tag; case does not matter unless two tags differ by it alone.

        A tag that nobody carries any more leads to the machine that gave it up, and an entry that
        was merged into another to the one that stays.
        """
        exact = {tag for tag in tags if tag}
        folded = {tag.upper() for tag in exact}
        found = (
            Machine.objects.annotate(folded=Upper("tag"))
            .filter(Q(tag__in=exact) | Q(folded__in=folded))
            .select_related("yard")
        )
        by_tag: dict[str, Machine] = {}
        for machine in found:
            by_tag.setdefault(machine.tag.upper(), machine)
        by_tag |= {machine.tag: machine for machine in found}
        by_tag |= _led(by_tag, folded)
        zones = {machine.yard_id: machine.yard.zone for machine in by_tag.values()}
        return cls(by_tag, Fittings.of({machine.pk for machine in by_tag.values()}), zones)

    @property
    def all(self) -> set[Machine]:
        """All machines that were found."""
        return set(self.by_tag.values())

    def find(self, tag: str) -> Machine | None:
        """Return the machine of a tag."""
        return self.by_tag.get(tag) or self.by_tag.get(tag.upper())


def _led(by_tag: Mapping[str, Machine], folded: Collection[str]) -> dict[str, Machine]:
    """Return by tag the machines that tags lead to which are not their own any more."""
    leads = {tag: one.merged_into_id for tag, one in by_tag.items() if one.merged_into_id}
    lacking = [tag for tag in folded if tag not in by_tag]
    leads |= led_by_former_tags(lacking) if lacking else {}
    rows = Machine.objects.select_related("yard").in_bulk(leads.values()) if leads else {}
    return {tag: rows[pk] for tag, pk in leads.items() if pk in rows}


class RowReading(NamedTuple):
    """A row and the reading that it tells of; a tuple, since a file has a million of them."""

    row: ReadingRow
    machine: Machine
    kind: MeterKind
    value: float
    read_at: datetime
    day_only: bool

    @property
    def seen(self) -> Seen:
        """The reading as a point of a history."""
        return Seen(self.read_at, self.value)

    def new(self, order: RowConventions) -> NewReading:
        """Return it as a reading that is typed."""
        return NewReading(
            machine=self.machine,
            kind=self.kind,
            value=self.value,
            read_at=self.read_at,
            day_only=self.day_only,
            source=order.source,
            by=order.by,
        )


def resolve(
    row: ReadingRow, machines: MachinesByTag, order: RowConventions, now: datetime
) -> RowReading:
    """Return the reading that a row tells of.

    Raises:
        RowRefused: with the reason and a sentence.

    """
    machine = _machine(row, machines, order)
    kind = _kind(row, machine, machines.fittings)
    try:
        when = parse_when(row.when, machines.zones[machine.yard_id], now)
    except ValueError as error:
        raise RowRefused(ReadingReason.NOT_A_DATE, str(error), machine) from None
    try:
        value = parse_use(row.value, kind, machine.yard.units, order.commas)
    except ValueError as error:
        raise RowRefused(ReadingReason.NOT_A_NUMBER, str(error), machine) from None
    return RowReading(row, machine, kind, value, when.at, when.day_only)


def _machine(row: ReadingRow, machines: MachinesByTag, order: RowConventions) -> Machine:
    if not row.machine:
        raise RowRefused(ReadingReason.UNKNOWN_MACHINE, "No machine is named; write its fleet tag.")
    machine = machines.find(row.machine)
    if machine is None:
        raise RowRefused(
            ReadingReason.UNKNOWN_MACHINE,
            f"No machine has the tag “{row.machine}”."
            " Correct the tag, or set the machine up first.",
        )
    if order.yard and machine.yard_id != order.yard.pk:
        raise RowRefused(
            ReadingReason.UNKNOWN_MACHINE,
            f"{machine.tag} lives at {machine.yard}, not at {order.yard}. Correct the tag, or read"
            " the file for all yards.",
            machine,
        )
    return machine


@lru_cache(maxsize=256)
def kind_named(text: str) -> MeterKind | None:
    """Return the kind of meter that people call so."""
    word = " ".join(text.lower().split())
    return next((kind for kind, words in METER_WORDS.items() if word in words), None)


def _kind(row: ReadingRow, machine: Machine, fittings: Fittings) -> MeterKind:
    """Return the kind of meter that a row names, or that its unit or the machine leaves open."""
    if row.meter:
        named = kind_named(row.meter)
        if named is not None:
            return named
        raise RowRefused(
            ReadingReason.WHICH_METER,
            f"“{row.meter}” is not a kind of meter we know; write hours, odometer or cycles.",
            machine,
        )
    by_unit = KIND_OF_UNIT.get(row.value.rpartition(" ")[2].lower())
    if by_unit is not None:
        return by_unit
    has = fittings.kinds(machine.pk)
    if len(has) > 1:
        meters = joined([LABELS[kind] for kind in has])
        raise RowRefused(
            ReadingReason.WHICH_METER,
            f"{machine.tag} has {meters}; say which one showed it.",
            machine,
        )
    if not has:
        raise RowRefused(
            ReadingReason.NO_METER,
            f"{machine.tag} has no meter at all. Fit one in Set-up first.",
            machine,
        )
    return has[0]
