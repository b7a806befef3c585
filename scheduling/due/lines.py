"""The lines of a run: each machine under each of its services, and what was done on each."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.core.intervals import ServicesDone, covering
from scheduling.due.meter_use import KindUse
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Days, Flags, Floats, Ints


@dataclass(frozen=True)
class Lines:
    """l lines sorted by machine and service.

    machine: row in `Machines`; service: key; interval: key, 0 where only a finding or a limit
    calls for the service; kind: of the meter that the line is judged on, "" for none; all (l,).
    """

    machine: Ints
    service: Ints
    interval: Ints
    kind: NDArray[np.str_]

    def __len__(self) -> int:
        return self.machine.size

    def find(self, machine: Ints, service: Ints) -> Ints:
        """Return the line of each machine and service, -1 for none."""
        keys = self.machine * _width(self.service, service) + self.service
        sought = machine * _width(self.service, service) + service
        if not keys.size:
            return np.full(sought.size, -1)
        at = np.minimum(np.searchsorted(keys, sought), keys.size - 1)
        return np.where(keys[at] == sought, at, -1)


def _width(*services: Ints) -> int:
    return max(int(column.max(initial=0)) for column in services) + 1


def make_lines(facts: Facts, uses: dict[str, KindUse]) -> Lines:
    """Join the lines of the intervals and those that findings and limits add."""
    rules = facts.rules
    called = [(call.machine, call.service) for call in facts.calls]
    called += zip(facts.measured.machine.tolist(), facts.measured.then.tolist(), strict=True)
    service = np.array([rules.intervals[k]["service_id"] for k in rules.interval.tolist()])
    table = np.concatenate([
        np.column_stack([rules.machine, service.astype(np.int64), rules.interval]),
        np.array([(m, s, 0) for m, s in called], dtype=np.int64).reshape(-1, 3),
    ])  # fmt: skip
    # the interval of a pair stands before the call for the same pair
    table = table[np.lexsort((table[:, 2] == 0, table[:, 1], table[:, 0]))]
    fresh = np.ones(len(table), dtype=np.bool_)
    fresh[1:] = (table[1:, :2] != table[:-1, :2]).any(axis=1)
    machine, service, interval = table[fresh].T
    return Lines(machine, service, interval, _kinds(facts, machine, interval, uses))


def _kinds(
    facts: Facts, machine: Ints, interval: Ints, uses: dict[str, KindUse]
) -> NDArray[np.str_]:
    """Return each line's meter: that of its interval, or the machine's first for a limit."""
    return np.array(
        [
            facts.rules.intervals[key]["meter_kind"] if key else _first_kind(row, uses)
            for row, key in zip(machine.tolist(), interval.tolist(), strict=True)
        ],
        dtype="U8",
    )


def _first_kind(machine: int, uses: dict[str, KindUse]) -> str:
    fitted = [kind for kind, use in uses.items() if use.local[machine] >= 0]
    return max(fitted, default="", key=lambda kind: kind == "hours")


def unsure_lines(facts: Facts, lines: Lines) -> Flags:
    """Tell of which lines nobody knows when their service was last done, (l,)."""
    flags = np.zeros(len(lines), dtype=np.bool_)
    if facts.unsure:
        machine, service = np.array(facts.unsure, dtype=np.int64).T
        at = lines.find(machine, service)
        flags[at[at >= 0]] = True
    return flags


def lives_at_records(facts: Facts, use: KindUse) -> Floats:
    """Return the life of the machine at each record of the book, (b,); NaN where not known.

    What was noted at the service counts if it can be believed; else it is read off the life line.
    """
    book = facts.book
    life = np.full(book.key.size, np.nan)
    local = use.local[book.machine]
    ours = np.flatnonzero(local >= 0)
    day = book.day[ours] - facts.machines.today[book.machine[ours]]
    life[ours] = use.life_on(local[ours], day)
    noted = np.flatnonzero((use.meters.record > 0) & use.cleaned.accepted)
    where = {key: i for i, key in enumerate(book.key.tolist())}
    for row in noted.tolist():
        at = where.get(int(use.meters.record[row]))
        if at is not None:
            life[at] = use.cleaned.life[row] + use.offset[use.meters.readings.machine[row]]
    return life


def services_done(
    facts: Facts, lines: Lines, lives: dict[str, Floats]
) -> tuple[ServicesDone, Floats]:
    """Return what was done on each line, with what other services cover; and the last moments.

    The second are local days since 1970-01-01 with the time of day, -inf for never, (l,).
    """
    record, service = _with_covered(facts)
    line = lines.find(facts.book.machine[record], service)
    kept = np.flatnonzero(line >= 0)
    line, record = line[kept], record[kept]
    life = np.full(line.size, np.nan)
    for kind, of_record in lives.items():
        at = lines.kind[line] == kind
        life[at] = of_record[record[at]]
    day = np.floor(facts.book.day[record]).astype(np.int64).astype("datetime64[D]")
    latest = np.full(len(lines), -np.inf)
    np.maximum.at(latest, line, facts.book.day[record])
    return ServicesDone(line, day, life), latest


def _with_covered(facts: Facts) -> tuple[Ints, Ints]:
    """Return the record and the service of all that was done, covered services beside it.

    What a record says was left out that time does not count as done.
    """
    known = np.array(sorted(facts.rules.services), dtype=np.int64)
    makeups = np.unique(facts.machines.makeup)
    closed = _closed(facts, known, makeups)
    done = np.searchsorted(makeups, facts.machines.makeup[facts.book.machine]) * known.size
    done += np.searchsorted(known, facts.book.service)
    begin = np.searchsorted(closed[:, 0], done, side="left")
    many = np.searchsorted(closed[:, 0], done, side="right") - begin
    record = np.repeat(np.arange(done.size), many)
    within = np.arange(record.size) - np.repeat(np.cumsum(many) - many, many)
    covered = known[closed[begin[record] + within, 1] % max(known.size, 1)]
    if without := facts.book.left_out:
        pairs_done = zip(record.tolist(), covered.tolist(), strict=True)
        kept = np.array([s not in without.get(r, ()) for r, s in pairs_done], dtype=np.bool_)
        record, covered = record[kept], covered[kept]
    everything = np.concatenate([np.arange(done.size), record])
    return everything, np.concatenate([facts.book.service, covered])


def _closed(facts: Facts, known: Ints, makeups: Ints) -> Ints:
    """Return all that services cover, followed through, shape (q, 2), sorted.

    Numbers are those of a service on a make-up: place of the make-up times the count of services,
    plus place of the service.
    """
    pairs = np.array(facts.rules.covers, dtype=np.int64).reshape(-1, 3)
    pairs = pairs[np.isin(pairs[:, 0], makeups)]
    first = np.searchsorted(makeups, pairs[:, :1]) * known.size
    return covering(first + np.searchsorted(known, pairs[:, 1:]), makeups.size * known.size)


def days_of(moments: Floats) -> Days:
    """Return the day of each moment; NaT for never (-inf)."""
    days = np.full(moments.size, np.datetime64("NaT", "D"))
    known = np.isfinite(moments)
    days[known] = np.floor(moments[known]).astype(np.int64).astype("datetime64[D]")
    return days
