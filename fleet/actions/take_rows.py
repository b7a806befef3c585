"""Rows of a file are taken as readings, or kept to be mended; in batches, each a transaction."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice

from django.db import transaction
from django.db.models import Max

from fleet.actions.fit_meters import lock_machines
from fleet.actions.mend_readings import RefusedRow, keep_to_mend, row_of_kept
from fleet.actions.write_readings import Origin, write_readings
from fleet.changed_facts import tell
from fleet.intake.batches import JudgedRow, judge_rows
from fleet.intake.file_machines import FileMachines
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import MachinesByTag, RowConventions, RowReading, RowRefused, resolve
from fleet.intake.running_histories import RunningHistories
from fleet.models import Person, Reading, ReadingToMend
from fleet.validation.reasons import AWAITS_SET_UP, ODD

BATCH = 10_000
"""Rows in one transaction, a second or so: enough for few queries, few enough that others write."""
MOST_COMPARED = 20_000
"""Rows waiting to be mended up to which all of them are compared with a batch."""


@dataclass
class Intake:
    """What became of the rows of a file: taken, there already, refused.

    made: numbers of the readings that the latest batch wrote; kept: fingerprints of what it kept
    to be mended; settled: kept rows that fit now.  machines: all that a row was of.
    """

    new: int = 0
    known: int = 0
    refused: list[RefusedRow] = field(default_factory=list)
    made: list[int] = field(default_factory=list)
    kept: list[int] = field(default_factory=list)
    settled: list[int] = field(default_factory=list)
    machines: set[int] = field(default_factory=set)


AfterBatch = Callable[[Intake, int], None]
"""Hears of each batch inside its transaction: what came of all so far, and its rows."""


@dataclass
class _Run:
    """A file on its way in; a dry run remembers what it would have taken."""

    order: RowConventions
    now: datetime
    again: bool = False
    sure: bool = False
    """Somebody says of odd readings that the meters really showed that."""
    after: AfterBatch | None = None
    intake: Intake = field(default_factory=Intake)
    machines: FileMachines = field(default_factory=lambda: FileMachines(lock_machines))
    running: RunningHistories = field(default_factory=RunningHistories)


def take_rows(
    rows: Iterable[ReadingRow],
    order: RowConventions,
    now: datetime,
    after: AfterBatch | None = None,
) -> Intake:
    """Take rows of readings; a row that was taken or refused before has no effect again.

    A dry run judges every row as if those before it had been taken, and writes nothing.
    """
    return _run(rows, _Run(order, now, after=after))


def try_again(kept: Iterable[ReadingToMend], *, by: Person | None, now: datetime) -> Intake:
    """Judge kept readings once more as they stand, and settle those that fit now."""
    total = Intake()
    by_source = defaultdict(list)
    for one in kept:
        by_source[one.source].append(row_of_kept(one))
    for source, rows in by_source.items():
        done = _run(rows, _Run(RowConventions(source=source, by=by), now, again=True))
        total.new += done.new
        total.known += done.known
        total.refused += done.refused
    return total


def take_as_right(kept: Iterable[ReadingToMend], *, by: Person, now: datetime) -> Intake:
    """Take kept readings that are odd as they stand: somebody says that the meters showed that.

    What is wrong otherwise (no such machine, no date) is refused as before.
    """
    total = Intake()
    by_source = defaultdict(list)
    for one in kept:
        by_source[one.source].append(row_of_kept(one))
    for source, rows in by_source.items():
        run = _Run(RowConventions(source=source, by=by), now, again=True, sure=True)
        done = _run(rows, run)
        total.new += done.new
        total.known += done.known
        total.refused += done.refused
    return total


def _run(rows: Iterable[ReadingRow], run: _Run) -> Intake:
    for part in _batches(rows):
        with transaction.atomic():
            _take_batch(part, run)
            if run.after:
                run.after(run.intake, len(part))
    run.intake.refused.sort(key=lambda refused: refused.row.line)
    return run.intake


def _batches(rows: Iterable[ReadingRow]) -> Iterator[list[ReadingRow]]:
    source = iter(rows)
    while part := list(islice(source, BATCH)):
        yield part


def _take_batch(rows: list[ReadingRow], run: _Run) -> None:
    """Take one batch.  The order matters:

    1. what was refused before is left alone, unless set-up may have mended it since;
    2. the machines' rows are locked before their histories are read;
    3. readings are judged in order of time, each in the light of those before it;
    4. what fits is written, what does not is kept, and kept rows that fit now are settled.
    """
    machines = run.machines.locked(row.machine for row in rows)
    kept = _kept(rows)
    entries, refused = _sorted_out(rows, machines, kept, run)
    fits, fresh = [], []
    for one in judge_rows(entries, machines, run.order, run.now, run.running):
        if not _fits(one, run):
            row, verdict = one.entry.row, one.verdict
            known = bool(kept) and row.fingerprint in kept
            refused.append(
                RefusedRow(row, verdict.reason, verdict.sentence, one.entry.machine, known=known)
            )
            continue
        fits.append(one)
        if not one.verdict.known:
            fresh.append(one)
    run.intake.new += len(fresh)
    run.intake.known += len(fits) - len(fresh)
    run.intake.refused += refused
    run.intake.machines.update(one.entry.machine.id for one in fits)
    if run.order.dry_run:
        _pretend(fresh, run)
        run.running.keep(_last_number())
        return
    last = _write(fresh, run)
    if not run.sure:  # else readings that do not fit were written, by which none is judged here
        run.running.keep(last)
    if run.order.keep:
        unknown = [one for one in refused if not one.known]
        run.intake.kept = keep_to_mend(unknown, run.order, run.now)
    if kept:
        _settle(fits, kept, run)


def _fits(one: JudgedRow, run: _Run) -> bool:
    verdict = one.verdict
    odd = run.sure and one.meter is not None and verdict.reason in ODD
    return verdict.fine or verdict.known or odd


def _kept(rows: list[ReadingRow]) -> dict[str, ReadingToMend]:
    """Return the rows that were refused before; most sites keep few, most files have none."""
    every = ReadingToMend.objects.order_by().values_list("fingerprint", flat=True)
    some = set(every[: MOST_COMPARED + 1])
    if not some:
        return {}
    prints = {row.fingerprint for row in rows}
    if len(some) <= MOST_COMPARED:
        prints &= some
    found = ReadingToMend.objects.filter(fingerprint__in=prints) if prints else ()
    return {kept.fingerprint: kept for kept in found}


def _sorted_out(
    rows: list[ReadingRow], machines: MachinesByTag, kept: dict[str, ReadingToMend], run: _Run
) -> tuple[list[RowReading], list[RefusedRow]]:
    """Part the rows into readings to judge and those that are refused as they stand."""
    entries, refused = [], []
    for row in rows:
        before = kept.get(row.fingerprint) if kept else None
        if before is not None and before.mended_as_id is not None:
            run.intake.known += 1
            continue
        if before is not None and not _worth_another_try(before, run):
            refused.append(RefusedRow(row, before.reason, before.sentence, known=True))
            continue
        try:
            entries.append(resolve(row, machines, run.order, run.now))
        except RowRefused as no:
            known = before is not None
            refused.append(RefusedRow(row, no.reason, no.sentence, no.machine, known=known))
    return entries, refused


def _worth_another_try(kept: ReadingToMend, run: _Run) -> bool:
    return kept.mended_at is None and (run.again or kept.reason in AWAITS_SET_UP)


def _pretend(fresh: list[JudgedRow], run: _Run) -> None:
    """Let a dry run remember what it would have written, for the batches to come."""
    for one in fresh:
        if one.meter is not None:
            run.running.pretended[one.meter.id].append(one.entry.seen)


def _last_number() -> int:
    return Reading.objects.aggregate(last=Max("pk"))["last"] or 0


def _write(fresh: list[JudgedRow], run: _Run) -> int:
    """Write what a batch has new; return the number of the last reading that is there."""
    last = _last_number()
    write_readings(
        [
            (one.meter.id, one.entry.read_at, one.entry.value, not one.verdict.fine)
            for one in fresh
            if one.meter
        ],
        Origin(run.order.source, run.order.by, run.now),
    )
    # the machines are locked, so what is newer on their meters was written just now
    meters = {one.meter.id for one in fresh if one.meter}
    newer = Reading.objects.filter(pk__gt=last).order_by("pk").values_list("pk", "meter_id")
    run.intake.made = [pk for pk, meter_id in newer if meter_id in meters]
    if fresh and run.order.tells:
        tell({one.entry.machine.id for one in fresh})
    return max(run.intake.made, default=last)


def _settle(fits: list[JudgedRow], kept: dict[str, ReadingToMend], run: _Run) -> None:
    """Settle kept rows that were taken now, with the readings that they became."""
    pairs = [(kept.get(one.entry.row.fingerprint), one.entry, one.meter) for one in fits]
    open_ones = [
        (own, entry, meter)
        for own, entry, meter in pairs
        if own is not None and own.mended_at is None and meter
    ]
    made = {
        (reading.meter_id, reading.read_at, reading.value): reading
        for reading in Reading.objects.filter(
            meter__in={meter for _, _, meter in open_ones},
            read_at__in={entry.read_at for _, entry, _ in open_ones},
        )
    }
    run.intake.settled = [own.pk for own, _, _ in open_ones]
    for own, entry, meter in open_ones:
        own.mended_at, own.mended_by = run.now, run.order.by
        own.mended_note = "taken when it was tried again"
        own.mended_as = made.get((meter.pk, entry.read_at, entry.value))
    ReadingToMend.objects.bulk_update(
        [own for own, _, _ in open_ones],
        ["mended_at", "mended_by", "mended_note", "mended_as"],
        batch_size=200,
    )
