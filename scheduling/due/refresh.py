"""Load facts, work out what follows, write what differs: for one machine or for a whole fleet.

The nightly run, a single new reading and a what-if all call `refresh`.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import datetime
from time import perf_counter
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from fleet.models import Machine, Shop
from fleet.saying import counted
from scheduling.core.verification import NOMINAL
from scheduling.due.booked_blocks import write_all_blocks
from scheduling.due.consequences import Consequences, work_out
from scheduling.due.due_rows import DUE_FIELDS, due_rows, said_of
from scheduling.due.learning import Lesson, keep, kept_lessons, learn
from scheduling.due.machine_states import STATE_FIELDS, state_rows
from scheduling.due.meanwhile import Meanwhile, changed_since, newest_entry
from scheduling.due.meter_use import kind_use
from scheduling.due.own_blocks import own_blocks
from scheduling.due.range_levels import levels_in_use
from scheduling.due.row_writing import Written, write_over
from scheduling.facts.load_facts import Facts, UseFacts, load_facts, load_use
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope
from scheduling.models import DuePoint, MachineState

Load = Callable[[Scope, datetime], Facts]
"""Loads the facts of the machines of a scope, as they are at a time."""
DUE_NAMES = (("machine_id", "service_id"), DUE_FIELDS)
STATE_NAMES = (("machine_id",), STATE_FIELDS)


@dataclass
class RefreshReport:
    """What a refresh did: counts of rows, machines by state, what is missing, seconds by stage."""

    machines: int = 0
    due_points: int = 0
    states: Counter[str] = field(default_factory=Counter)
    created: int = 0
    updated: int = 0
    deleted: int = 0
    missing: list[str] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """Return the report as plain JSON."""
        seconds = {stage: round(spent, 3) for stage, spent in self.seconds.items()}
        return {**asdict(self), "states": dict(self.states), "seconds": seconds}

    def add(self, written: Written) -> None:
        """Count rows that were written."""
        self.created += written.created
        self.updated += written.updated
        self.deleted += written.deleted

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        """Time one stage."""
        start = perf_counter()
        yield
        self.seconds[name] = self.seconds.get(name, 0.0) + perf_counter() - start


def refresh(
    machine_ids: Collection[int] | None,
    now: datetime,
    *,
    shop: Shop | None = None,
    refit: bool = False,
    load: Load | None = None,
) -> RefreshReport:
    """Bring due points, machine states and blocks up to date.

    machine_ids: None for all machines, of the shop if one is given.  refit: learn the shop's use
    again and keep it; else what is kept serves, and is learnt only where there is none.  load: how
    facts are loaded, for a run that hands them on.  The second run on the same facts and day
    writes no row.
    """
    report = RefreshReport()
    before = newest_entry()
    for each, scope in _scopes(machine_ids, shop):
        _refresh_shop(each, scope, now, refit, report, load or load_facts)
    meanwhile = changed_since(before, machine_ids)
    if meanwhile:
        _refresh_again(meanwhile, now, shop, report)
    if not report.machines:
        report.missing.append("There is no machine yet; add one in Set-up.")
    return report


def _refresh_again(
    meanwhile: Meanwhile, now: datetime, shop: Shop | None, report: RefreshReport
) -> None:
    """Work machines out once more whose facts changed after they were loaded."""
    again = refresh(meanwhile.machines, max(now, meanwhile.at), shop=shop)
    report.created += again.created
    report.updated += again.updated
    report.deleted += again.deleted


def _scopes(machine_ids: Collection[int] | None, shop: Shop | None) -> Iterator[tuple[Shop, Scope]]:
    """Yield each shop that is concerned, and its machines."""
    if machine_ids is None:
        for each in [shop] if shop else Shop.objects.order_by("pk"):
            yield each, Scope.of(each.pk)
        return
    rows = Machine.objects.filter(pk__in=sorted(machine_ids)).select_related("yard__shop")
    if shop:
        rows = rows.filter(yard__shop=shop)
    by_shop: dict[Shop, list[int]] = {}
    for machine in rows.only("yard__shop").order_by("yard__shop", "pk"):
        by_shop.setdefault(machine.yard.shop, []).append(machine.pk)
    for each, ids in by_shop.items():
        yield each, Scope.of(each.pk, ids)


def _refresh_shop(
    shop: Shop, scope: Scope, now: datetime, refit: bool, report: RefreshReport, load: Load
) -> None:
    with report.stage("load"):
        facts = load(scope, now)
    with report.stage("learn"):
        lessons = _lessons(shop, scope, facts.use, now, refit, report)
    with report.stage("forecast"):
        levels = levels_in_use(shop.pk, now.astimezone(shop.zone).date())
        uses = {
            kind: kind_use(facts.use, meters, lessons[kind], levels.get(kind, NOMINAL))
            for kind, meters in facts.use.meters.items()
        }
        outcome = work_out(facts, uses)
    with report.stage("write"):
        _write(outcome, scope, now, report)
    report.machines += len(facts.machines)


def _lessons(
    shop: Shop, scope: Scope, use: UseFacts, now: datetime, refit: bool, report: RefreshReport
) -> dict[str, Lesson]:
    """Return what the shop's fleet teaches, learning what is not kept or is to be learnt again."""
    lessons = {} if refit else kept_lessons(shop.pk, use.meters)
    lacking = [kind for kind in use.meters if kind not in lessons]
    if lacking:
        whole = use if scope.ids is None else load_use(Scope.of(shop.pk), now)
        learnt = {kind: learn(whole, whole.meters[kind]) for kind in lacking}
        report.updated += keep(shop, learnt, now)
        lessons |= learnt
    return lessons


def _write(outcome: Consequences, scope: Scope, now: datetime, report: RefreshReport) -> None:
    """Write due points, then states and blocks that name them, in one transaction."""
    said = said_of(outcome)
    rows = due_rows(outcome, said)
    with transaction.atomic(savepoint=False):  # what fails here undoes all around it, too
        due = write_over(DuePoint, rows_of(_due_points, scope), DUE_NAMES, rows)
        states = state_rows(outcome, said, due.keys)
        report.add(due)
        stood = rows_of(_states, scope)
        report.add(write_over(MachineState, stood, STATE_NAMES, states))
        blocks = own_blocks(outcome, said, due.keys)
        report.add(write_all_blocks(scope, now, blocks, outcome.facts.rules.covers))
    report.due_points += len(rows)
    _count(states, report)


def _due_points(scope: Scope) -> QuerySet[DuePoint, Any]:
    rows = DuePoint.objects.filter(scope.on("machine"))
    return rows.values_list("pk", *DUE_NAMES[0], *DUE_NAMES[1])


def _states(scope: Scope) -> QuerySet[MachineState, Any]:
    rows = MachineState.objects.filter(scope.on("machine"))
    return rows.values_list("pk", *STATE_NAMES[0], *STATE_NAMES[1])


def _count(states: dict[Any, tuple[Any, ...]], report: RefreshReport) -> None:
    """Count machines by state, and by what is missing."""
    report.states.update(str(row[STATE_FIELDS.index("state")]) for row in states.values())
    lacking = Counter(row[STATE_FIELDS.index("missing")] for row in states.values())
    for sentence, machines in lacking.most_common():
        if sentence:
            report.missing.append(f"{counted(machines, 'machine')}: {sentence}.")
