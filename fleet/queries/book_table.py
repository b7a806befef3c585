"""A machine's service book as rows of a file: its entries, and what was answered at their steps."""

from collections.abc import Iterable, Iterator
from datetime import datetime, tzinfo

from django.db.models import Prefetch

from fleet.models import Machine, Measurement, ServiceRecord, StepAnswer
from fleet.quantities import plain_use, unit_of
from fleet.queries.machine_history import book_of
from fleet.table_files import Cell, TableOfCells

METERS = ("hours", "distance", "cycles")
OF_STEP = ("step", "answer", "value", "unit", "answered by", "answered at")
"""What a row below an entry says: of an answer, or of a measured value."""


def _titles(units: str) -> list[str]:
    meters = [f"{kind}, {unit_of(kind, units)}" for kind in METERS[:2]]
    return [
        "entry", "stands", "done at", "what was done", "done by", *meters, METERS[2], "minutes",
        "cost", "note", *OF_STEP,
    ]  # fmt: skip


def book_table(machine: Machine) -> TableOfCells:
    """Return the whole book, newest first, corrected and struck entries too; six queries."""
    answers = Prefetch("answers", StepAnswer.objects.select_related("by"))
    records = book_of(machine).select_related("service", "done_by", "corrected_by", "done_text")
    rows: list[list[Cell]] = []
    for record in records.prefetch_related(answers):
        entry = _entry(record, machine)
        rows.append([*entry, *[None] * len(OF_STEP)])
        known = [*entry[:5], *[None] * 6]
        rows += [[*known, *said] for said in _said(record, machine.yard.zone)]
    name = "".join(one if one.isalnum() or one in "-_" else "-" for one in machine.tag)
    return TableOfCells(f"service book {name}", _titles(machine.yard.units), rows)


def _entry(record: ServiceRecord, machine: Machine) -> list[Cell]:
    units = machine.yard.units
    shown = {one.meter.kind: float(plain_use(one.value, one.meter.kind, units))
             for one in record.meters.all()}  # fmt: skip
    cost = None if record.cost is None else float(record.cost)
    return [
        record.pk,
        _standing(record),
        _at(record.done_at, machine.yard.zone),
        str(record.service or "repair"),
        str(record.done_by) if record.done_by else None,
        *(shown.get(kind) for kind in METERS),
        record.minutes,
        cost,
        record.note or None,
    ]


def _standing(record: ServiceRecord) -> str:
    later = getattr(record, "corrected_by", None)
    if record.void:
        return "strikes another"
    if later is None:
        return "yes"
    return "struck" if later.void else "corrected"


def _said(record: ServiceRecord, zone: tzinfo) -> Iterator[list[Cell]]:
    """Yield step, answer, value, unit, who and when of each answer and each measured value."""
    texts = {one["key"]: one["text"] for one in record.done_text.steps} if record.done_text else {}
    for one in record.answers.all():
        filled = one.quantity_ml
        yield [
            texts.get(one.step, one.step), one.get_answer_display(), filled,
            None if filled is None else "mL", str(one.by) if one.by else None, _at(one.at, zone),
        ]  # fmt: skip
    yield from _measured(record.measurements.all(), record, zone)


def _measured(
    rows: Iterable[Measurement], record: ServiceRecord, zone: tzinfo
) -> Iterator[list[Cell]]:
    who = str(record.done_by) if record.done_by else None
    for one in rows:
        name = f"{one.limit.name}, {one.place}" if one.place else one.limit.name
        unit = one.limit.unit or None
        yield [name, "measured", one.value, unit, who, _at(record.done_at, zone)]


def _at(moment: datetime, zone: tzinfo) -> str:
    """Return a moment at the machine's yard, by ISO 8601, to the minute."""
    return f"{moment.astimezone(zone):%Y-%m-%d %H:%M}"
