"""The moves of a mend, each with why the task leaves its place, and why it goes where it goes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from scheduling.core.planner.answer import PlaceReason, Result
from scheduling.core.planner.explain import conflict_at
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Conflict, Spot

from .change_penalty import same_place
from .yard_mend import MendedYard


class LeavingKind(StrEnum):
    """Why a task leaves its place."""

    NEW = "new"
    """It stood nowhere."""
    BARRED = "barred"
    """It cannot stay (`conflict`)."""
    MAKES_ROOM = "makes-room"
    """It could stay, and others (`tasks`) come to its place or day."""
    GIVES_WAY = "gives-way"
    """It could stay, and what others take by now keeps it off (`conflict`)."""
    CHEAPER = "cheaper"
    """It could stay, and the plan is cheaper without it there."""


@dataclass(frozen=True, slots=True)
class Leaving:
    """Why a task leaves `place`, where it stood; `place` is None for a new one."""

    kind: LeavingKind
    place: Spot | None = None
    conflict: Conflict | None = None
    tasks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReasonedMove:
    """A task that changes its place; before None: it stood nowhere; after None: it is put off.

    `reason` is that of the place it goes to, or of its waiting, if there was time for one.
    """

    task: str
    before: Spot | None
    after: Spot | None
    leaving: Leaving
    reason: PlaceReason | None = None


def moves_of(mended: Iterable[MendedYard], result: Result) -> tuple[ReasonedMove, ...]:
    """Return the moves by the day that they leave or, for new tasks, come to."""
    reasons = {a.task: a.reason for a in result.assignments} | result.deferred_reasons
    found = [move for r in mended for move in _moves(r, reasons)]
    return tuple(sorted(found, key=lambda m: ((m.before or m.after or Spot(0, "")).day, m.task)))


def _moves(mended: MendedYard, reasons: Mapping[str, PlaceReason | None]) -> list[ReasonedMove]:
    yard = MoveReasons(mended)
    return [
        ReasonedMove(task, before, after, yard.leaving(task), reasons.get(task))
        for task, before, after in yard.moved
    ]


class MoveReasons:
    """Finds why tasks leave their places; knows all moves of a yard."""

    def __init__(self, mended: MendedYard) -> None:
        self.mended, self.now = mended, mended.draft.places()
        tasks = mended.draft.case.problem.tasks.values()
        self.moved = [
            (t.id, t.previous, self.now.get(t.id))
            for t in tasks
            if not same_place(t.previous, self.now.get(t.id))
        ]
        self.where = {
            t.id: (k, i)
            for k, visits in enumerate(mended.draft.machines)
            for i, t in enumerate(visits.tasks)
        }

    def leaving(self, task: str) -> Leaving:
        """Return why a task leaves its place."""
        before = self.mended.draft.case.problem.tasks[task].previous
        if before is None:
            return Leaving(LeavingKind.NEW)
        k, i = self.where[task]
        # Then nothing forbids its old place: it went for another's sake, or because that is
        # cheaper.
        if self._stands(task):
            return self._gives_way(task, before)
        stand = _without_visit(self.mended.stand, k, before.day)
        return Leaving(LeavingKind.BARRED, before, conflict_at(stand, k, i, before))

    def _stands(self, task: str) -> bool:
        """Tell whether the task could have stayed where it stood."""
        return task in self.mended.stand.places()

    def _gives_way(self, task: str, before: Spot) -> Leaving:
        """Return for whom a task makes room that could have stayed, or that moving is cheaper."""
        came = [t for t, _, after in self.moved if same_place(after, before)]
        # Nobody took its very place; somebody of that day needs the hours.
        came = came or [t for t, _, after in self.moved if after and after.day == before.day]
        others = tuple(t for t in came if t != task)
        if others:
            return Leaving(LeavingKind.MAKES_ROOM, before, tasks=others)
        conflict = self._taken(task, before)
        kind = LeavingKind.CHEAPER if conflict is None else LeavingKind.GIVES_WAY
        return Leaving(kind, before, conflict)

    def _taken(self, task: str, before: Spot) -> Conflict | None:
        """Return what keeps a task off its old place in the mended plan, or None if it is free."""
        k, i = self.where[task]
        draft = _without_visit(self.mended.draft, k, before.day)
        row = int(np.flatnonzero(draft.machines[k].masks == 1 << i)[0])
        names = [m.id for m in draft.case.mechanics]
        slot = draft.slot_with(k, row, (before.day, names.index(before.mechanic or "")))
        return conflict_at(draft, k, i, before) if slot is None else None


def _without_visit(plan: Draft, k: int, day: int) -> Draft:
    """Return a plan without what a machine has on a day."""
    draft = plan.copy()
    draft.clear(k)
    for slot in plan.chosen[k]:
        if slot[1] != day:
            draft.put(k, slot)
    draft.reprice(k)
    return draft
