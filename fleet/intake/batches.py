"""Many rows judged at once, in order of time: the same validation as for one typed reading."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import MachinesByTag
from fleet.intake.running_histories import RunningHistories
from fleet.models import Meter, MeterKind
from fleet.queries.judge_readings import NewReading, ReadingJudgement, look
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
from fleet.validation.outvoting import outvoted

FITS = ReadingVerdict(ReadingReason.FINE)


@dataclass(frozen=True, slots=True)
class RowReading:
    """A row and the reading that it tells of."""

    row: ReadingRow
    new: NewReading

    @property
    def seen(self) -> Seen:
        """The reading as a point of a history."""
        return Seen(self.new.read_at, self.new.value)


def judge_rows(
    rows: list[RowReading],
    machines: MachinesByTag,
    now: datetime,
    running: RunningHistories,
) -> Iterator[tuple[ReadingRow, ReadingJudgement]]:
    """Judge rows by what stands and by the rows before them; seven queries for any number.

    running: what the batches before this one of the same file leave to it.
    """
    rows = sorted(rows, key=lambda entry: entry.new.read_at)
    found = [machines.fittings.at(t.new.machine.pk, t.new.kind, t.new.read_at) for t in rows]
    meters = {meter.pk: meter for meter in found if meter}
    span = (rows[0].new.read_at, rows[-1].new.read_at) if meters else None
    known = running.read(meters.values(), *span) if span else {}
    ahead = _ahead(rows, found)
    for entry, meter in zip(rows, found, strict=True):
        seen = _at_a_glance(entry, meter, known, now) or look(
            entry.new, machines.fittings, known, now
        )
        if seen.meter is not None:
            later = ahead[seen.meter.pk]
            later.pop()
            if seen.verdict.fine:
                seen = _by_those_after(entry, later[-2:][::-1], seen, now)
        if seen.verdict.fine and seen.meter is not None:
            known[seen.meter.pk].add(entry.seen)
        yield entry.row, seen


def _at_a_glance(
    entry: RowReading, meter: Meter | None, known: Mapping[int, MeterHistory], now: datetime
) -> ReadingJudgement | None:
    """Return the judgement of a reading that plainly fits, without looking at it closely."""
    if meter is None:
        return None
    shown, history = entry.new.shown(), known[meter.pk]
    if shown.span[0] > now or not plainly_fine(
        shown.value, shown.span, shown.leeway, MeterKind(meter.kind), history
    ):
        return None
    return ReadingJudgement(entry.new, FITS, meter, history)


def _ahead(rows: list[RowReading], found: list[Meter | None]) -> dict[int, list[Seen]]:
    """Return each meter's readings, the last first, to be taken off the end one by one."""
    ahead: dict[int, list[Seen]] = defaultdict(list)
    for entry, meter in zip(reversed(rows), reversed(found), strict=True):
        if meter:
            ahead[meter.pk].append(entry.seen)
    return ahead


def _by_those_after(
    entry: RowReading, later: list[Seen], look: ReadingJudgement, now: datetime
) -> ReadingJudgement:
    """Refuse a reading that the next two of its meter contradict."""
    new, history = entry.new, look.history
    face = Face(MeterKind(new.kind))
    if history is None or not outvoted(entry.seen, history.before(new.read_at), later, face):
        return look
    fault = Fault(ReadingReason.BACKWARDS, later[0])
    return replace(look, verdict=say_verdict(fault, new.shown(), new.place(now)), fault=fault)
