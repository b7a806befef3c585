"""The moves of a mend, each with one sentence: why it leaves its place, and why it goes there."""

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.core.planner.answer import Result, place
from scheduling.core.planner.explain import conflict_at
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Spot

from .change_penalty import same_place
from .yard_mend import MendedYard

SAID = 3
"""Tasks named in a sentence."""


@dataclass(frozen=True, slots=True)
class ReasonedMove:
    """A task that changes its place; before None: it stood nowhere; after None: it is put off."""

    task: str
    before: Spot | None
    after: Spot | None
    why: str


def moves_of(mended: Iterable[MendedYard], result: Result) -> tuple[ReasonedMove, ...]:
    """Return the moves by the day that they leave or, for new tasks, come to."""
    said = {a.task: a.why for a in result.assignments} | result.deferred_why
    found = [move for r in mended for move in _moves(r, said)]
    return tuple(sorted(found, key=lambda m: ((m.before or m.after or Spot(0, "")).day, m.task)))


def _moves(mended: MendedYard, said: dict[str, str]) -> list[ReasonedMove]:
    reasons = MoveReasons(mended)
    return [
        ReasonedMove(task, before, after, f"{reasons.leaving(task)} {said.get(task, '')}".strip())
        for task, before, after in reasons.moved
    ]


class MoveReasons:
    """Says why tasks leave their places; knows all moves of a yard."""

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

    def leaving(self, task: str) -> str:
        """Return why a task leaves its day or mechanic, as a sentence."""
        before = self.mended.draft.case.problem.tasks[task].previous
        if before is None:
            return "It is new to the plan."
        k, i = self.where[task]
        # Then nothing forbids its old place: it went for another's sake, or because that is
        # cheaper.
        if self._stands(task):
            return self._gives_way(task, before)
        rule = conflict_at(self._others(k, before), k, i, before)
        return f"It cannot stay on {place(before)}: {rule}."

    def _stands(self, task: str) -> bool:
        """Tell whether the task could have stayed where it stood."""
        return task in self.mended.stand.places()

    def _others(self, k: int, before: Spot) -> Draft:
        """Return what can stand without the machine's own visit on that day."""
        draft = self.mended.stand.copy()
        draft.clear(k)
        for slot in self.mended.stand.chosen[k]:
            if slot[1] != before.day:
                draft.put(k, slot)
        draft.reprice(k)
        return draft

    def _gives_way(self, task: str, before: Spot) -> str:
        """Say for whom a task makes room that could have stayed, or that moving is cheaper."""
        came = [t for t, _, after in self.moved if same_place(after, before)]
        # Nobody took its very place; somebody of that day needs the hours.
        came = came or [t for t, _, after in self.moved if after and after.day == before.day]
        others = [t for t in came if t != task]
        if others:
            return f"It makes room on {place(before)} for {', '.join(others[:SAID])}."
        return "It could stay, but moving it costs less."
