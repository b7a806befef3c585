"""The lines of a past, their true lives, and the services that the book has of them."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np

from fleet.models import Service, Skill
from fleet.queries.covered_services import CoveredServices
from scheduling.core.intervals import CalendarRules, DuePoints, MeterRules, ServicesDone, due_points
from scheduling.core.replay import FixedWork, PastService, ReplayLines, rules_of
from scheduling.due.line_rules import line_rules
from scheduling.due.lines import Lines, lives_at_records, make_lines, unsure_lines
from scheduling.due.meter_use import KindUse
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Floats, Ints
from scheduling.plan.horizon import ANY_SKILL
from scheduling.plan.work_to_plan import MONTH_DAYS

SEASON_DAYS = 365.0
"""Days from one season to the next."""


@dataclass(frozen=True)
class SpanLived:
    """Day numbers of the first night and of the facts' own today, and how many nights."""

    first: int
    today: int
    nights: int

    @property
    def offset(self) -> int:
        """Return the first night in days from today."""
        return self.first - self.today


@dataclass(frozen=True)
class LinesLived:
    """Lines, what was done on them before the span and in it, and what of it is given.

    fixed: work of services without an interval, and of the given ones; unsure: lines left out.
    """

    lines: ReplayLines
    before: ServicesDone
    done: list[PastService]
    given: list[PastService]
    fixed: list[FixedWork]
    unsure: int


def lines_lived(
    facts: Facts, uses: dict[str, KindUse], span: SpanLived, minutes: Mapping[int, int | None]
) -> LinesLived:
    """Return the lines of a span; minutes: by key of the record; one query."""
    lines = make_lines(facts, uses)
    rules = line_rules(facts, lines, uses)
    unsure = unsure_lines(facts, lines)
    kept = np.flatnonzero((lines.interval > 0) & ~rules.broken & ~unsure)
    ours = Lines(lines.machine[kept], lines.service[kept], lines.interval[kept], lines.kind[kept])
    covered = CoveredServices(facts.rules.covers)
    sides = rules_of(rules.meter, kept), rules_of(rules.calendar, kept)
    made = _replay_lines(facts, uses, span, ours, sides, covered)
    entries, beside = _entries(facts, uses, span, made, covered, minutes)
    before = [entry for entry in entries if entry.at < 0]
    later = [entry for entry in entries if 0 <= entry.at < span.nights]
    past = _as_done(before, span.first)
    since = _since(made, due_points(made.meter, made.calendar, past), later, span)
    made = _with_since(made, since)
    given = [entry for entry in later if entry.at < since[entry.line]]
    beside += [
        FixedWork(int(made.machine[e.line]), e.at, e.minutes) for e in given if e.main
    ]  # fmt: skip
    done = [entry for entry in later if entry.at >= since[entry.line]]
    return LinesLived(made, past, done, given, beside, int(unsure.sum()))


def _replay_lines(
    facts: Facts, uses: dict[str, KindUse], span: SpanLived, lines: Lines,
    sides: tuple[MeterRules, CalendarRules], covered: CoveredServices,
) -> ReplayLines:  # fmt: skip
    meter, calendar = sides
    rows = Service.objects.in_bulk(sorted(set(lines.service.tolist())))
    services = [rows[key] for key in lines.service.tolist()]
    names = _skills()
    length = np.fmin(
        np.where(calendar.months > 0, calendar.months * MONTH_DAYS, np.inf),
        np.where(calendar.days > 0, calendar.days, np.inf),
    )
    length = np.where(calendar.season_month > 0, np.fmin(length, SEASON_DAYS), length)
    started = facts.machines.started[lines.machine]
    begun = np.where(np.isnat(started), 0, started.astype(np.int64) - span.first)
    return ReplayLines(
        machine=lines.machine,
        service=lines.service,
        kind=lines.kind,
        meter=meter,
        calendar=calendar,
        since=np.maximum(begun, 0),
        minutes=np.array([s.minutes for s in services], dtype=np.int64),
        skill=tuple(names.get(s.skill_id, ANY_SKILL) for s in services),
        second=tuple(
            (s.second_minutes, names.get(s.second_skill_id, ANY_SKILL))
            if s.second_minutes else None
            for s in services
        ),
        several_days=np.array([s.several_days for s in services], dtype=np.bool_),
        blocks=np.array([s.blocks_rental for s in services], dtype=np.bool_) | meter.hard,
        overdue_cost=np.array([s.overdue_cost_per_day for s in services], dtype=np.float64),
        value=np.array([s.value for s in services], dtype=np.float64),
        every=meter.every * meter.duty,
        length=length,
        covers=_covers(facts, lines, covered),
        lives=_lives(lines, uses, span),
    )  # fmt: skip


def _skills() -> dict[int | None, str]:
    return dict(Skill.objects.order_by("pk").values_list("pk", "name"))


def _covers(facts: Facts, lines: Lines, covered: CoveredServices) -> tuple[tuple[int, ...], ...]:
    where = {pair: row for row, pair in enumerate(
        zip(lines.machine.tolist(), lines.service.tolist(), strict=True))}  # fmt: skip
    found = []
    for machine, service in where:
        lower = covered.of(int(facts.machines.makeup[machine]), service)
        found.append(tuple(sorted(where[machine, s] for s in lower if (machine, s) in where)))
    return tuple(found)


def _lives(lines: Lines, uses: dict[str, KindUse], span: SpanLived) -> Floats:
    """Return the true life of each line at the beginning of each day, one day beyond the span."""
    days = np.arange(span.nights + 2, dtype=np.float64) + span.offset
    lives = np.full((len(lines), days.size), np.nan)
    for kind, use in uses.items():
        at = np.flatnonzero((lines.kind == kind) & (use.local[lines.machine] >= 0))
        local, number = np.unique(use.local[lines.machine[at]], return_inverse=True)
        machine = np.repeat(local, days.size)
        of_machine = use.life_on(machine, np.tile(days, local.size)).reshape(-1, days.size)
        lives[at] = np.maximum.accumulate(of_machine[number], axis=1)
    return lives


def _entries(
    facts: Facts, uses: dict[str, KindUse], span: SpanLived, lines: ReplayLines,
    covered: CoveredServices, minutes: Mapping[int, int | None],
) -> tuple[list[PastService], list[FixedWork]]:  # fmt: skip
    """Return all that the book has of the lines, in order of time, and work of other services."""
    where: dict[tuple[int, int], int] = {
        pair: row for row, pair in enumerate(
            zip(lines.machine.tolist(), lines.service.tolist(), strict=True))
    }  # fmt: skip
    of_kind = {kind: lives_at_records(facts, use) for kind, use in uses.items()}
    book, found, beside = facts.book, [], []
    usual: dict[int, int] = defaultdict(int, zip(
        lines.service.tolist(), lines.minutes.tolist(), strict=True))  # fmt: skip
    columns = (book.key, book.machine, book.service, book.day)
    for row, (key, machine, service, day) in enumerate(
        zip(*(column.tolist() for column in columns), strict=True)
    ):
        at, took = day - span.first, minutes.get(key)
        took = usual[service] if took is None else took
        if (machine, service) not in where and 0 <= at < span.nights:
            beside.append(FixedWork(machine, at, took))
        makeup = int(facts.machines.makeup[machine])
        for each in covered.done_with(makeup, service) - book.left_out.get(row, frozenset()):
            line = where.get((machine, each))
            if line is not None:
                kind = str(lines.kind[line])
                life = float(of_kind[kind][row]) if kind in of_kind else np.nan
                found.append(PastService(line, at, life, took, each == service))
    return sorted(found, key=lambda entry: (entry.at, entry.line)), beside


def _as_done(entries: list[PastService], first: int) -> ServicesDone:
    day = np.array([np.floor(entry.at) + first for entry in entries], dtype=np.int64)
    return ServicesDone(
        np.array([entry.line for entry in entries], dtype=np.int64),
        day.astype("datetime64[D]"),
        np.array([entry.life for entry in entries], dtype=np.float64),
    )


def _since(
    lines: ReplayLines, points: DuePoints, later: list[PastService], span: SpanLived
) -> Ints:
    """Return the day from which each line counts.

    One of which nothing was known as the span began counts from the day after its first entry;
    without any it does not count.
    """
    first: dict[int, int] = {}
    for entry in later:
        first.setdefault(entry.line, int(entry.at) + 1)
    since = lines.since.copy()
    for line in np.flatnonzero(points.due_at_once).tolist():
        since[line] = max(since[line], first.get(line, span.nights + 1))
    return since


def _with_since(lines: ReplayLines, since: Ints) -> ReplayLines:
    return ReplayLines(**{**{f.name: getattr(lines, f.name) for f in fields(lines)},
                          "since": since})  # fmt: skip
