"""Many rows judged at once, in order of time: the same validation as for one typed reading."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from operator import attrgetter
from typing import NamedTuple
from zoneinfo import ZoneInfo

from fleet.intake.resolving import MachinesByTag, RowConventions, RowReading
from fleet.intake.running_histories import RunningHistories
from fleet.models import Meter, MeterKind
from fleet.queries.judge_readings import ReadingJudgement, day_of, look
from fleet.validation import (
    Face,
    Fault,
    MeterHistory,
    ReadingReason,
    ReadingVerdict,
    Seen,
    say_verdict,
)
from fleet.validation.judging import plainly_fine
from fleet.validation.meter_limits import DAY_LEEWAY, LEEWAY
from fleet.validation.outvoting import outvoted

FITS = ReadingVerdict(ReadingReason.FINE)
FACES = {kind.value: Face(kind) for kind in MeterKind}


class JudgedRow(NamedTuple):
    """What validation found of a row; meter: None where none can have shown it."""

    entry: RowReading
    verdict: ReadingVerdict
    meter: Meter | None


def judge_rows(
    rows: list[RowReading],
    machines: MachinesByTag,
    order: RowConventions,
    now: datetime,
    running: RunningHistories,
) -> Iterator[JudgedRow]:
    """Judge rows by what stands and by the rows before them; seven queries for any number.

    running: what the batches before this one of the same file leave to it.
    """
    rows = sorted(rows, key=attrgetter("read_at"))
    fitted = machines.fittings.at
    found = [fitted(row.machine.id, row.kind, row.read_at) for row in rows]
    meters = {meter.id: meter for meter in found if meter is not None}
    span = (rows[0].read_at, rows[-1].read_at) if meters else None
    known = running.read(meters.values(), *span) if span else {}
    ahead = _ahead(rows, found)
    for entry, meter in zip(rows, found, strict=True):
        if meter is not None:
            later, history = ahead[meter.id], known[meter.id]
            here = later.pop()
            zone = machines.zones[entry.machine.yard_id]
            if _at_a_glance(entry, zone, FACES[meter.kind], history, now) and not outvoted(
                here, history.seen[-1], later[-2:][::-1], FACES[meter.kind]
            ):
                history.add(here)
                yield JudgedRow(entry, FITS, meter)
                continue
        seen = look(entry.new(order), machines.fittings, known, now)
        shown_by = seen.meter
        if shown_by is not None and seen.verdict.fine:
            seen = _by_those_after(entry, ahead[shown_by.id][-2:][::-1], seen, now)
        if shown_by is not None and seen.verdict.fine:
            known[shown_by.id].add(entry.seen)
        yield JudgedRow(entry, seen.verdict, shown_by)


def _at_a_glance(
    entry: RowReading, zone: ZoneInfo, face: Face, history: MeterHistory, now: datetime
) -> bool:
    """Tell whether a reading plainly fits, without looking at it closely."""
    at, leeway = entry.read_at, LEEWAY
    span = (at, at)
    if entry.day_only:
        span, leeway = day_of(at, zone), DAY_LEEWAY
    return span[0] <= now and plainly_fine(entry.value, span, leeway, face.kind, history)


def _ahead(rows: list[RowReading], found: list[Meter | None]) -> dict[int, list[Seen]]:
    """Return each meter's readings, the last first, to be taken off the end one by one."""
    ahead: dict[int, list[Seen]] = defaultdict(list)
    for entry, meter in zip(reversed(rows), reversed(found), strict=True):
        if meter is not None:
            ahead[meter.id].append(Seen(entry.read_at, entry.value))
    return ahead


def _by_those_after(
    entry: RowReading, later: list[Seen], look: ReadingJudgement, now: datetime
) -> ReadingJudgement:
    """Refuse a reading that the next two of its meter contradict."""
    new, history = look.new, look.history
    face = Face(MeterKind(new.kind))
    if history is None or not outvoted(entry.seen, history.before(new.read_at), later, face):
        return look
    fault = Fault(ReadingReason.BACKWARDS, later[0])
    return replace(look, verdict=say_verdict(fault, new.shown(), new.place(now)), fault=fault)
