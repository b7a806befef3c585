"""The moves of a mend, each with one sentence: why it leaves its place, and why it goes there."""

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.core.planner.answer import Result, place
from scheduling.core.planner.explain import obstacle_with
from scheduling.core.planner.plan import Load
from scheduling.core.planner.problem import Spot

from .calm import same_place
from .repair import Repaired

SAID = 3
"""Tasks named in a sentence."""


@dataclass(frozen=True, slots=True)
class Move:
    """A task that changes its place; before None: it stood nowhere; after None: it is put off."""

    task: str
    before: Spot | None
    after: Spot | None
    why: str


def moves_of(repaired: Iterable[Repaired], result: Result) -> tuple[Move, ...]:
    """Return the moves by the day that they leave or, for new tasks, come to."""
    said = {a.task: a.why for a in result.assignments} | result.deferred_why
    found = [move for r in repaired for move in _moves(r, said)]
    return tuple(sorted(found, key=lambda m: ((m.before or m.after or Spot(0, "")).day, m.task)))


def _moves(repaired: Repaired, said: dict[str, str]) -> list[Move]:
    teller = Teller(repaired)
    return [
        Move(task, before, after, f"{teller.leaving(task)} {said.get(task, '')}".strip())
        for task, before, after in teller.moved
    ]


class Teller:
    """Says why tasks leave their places; knows all moves of a yard."""

    def __init__(self, repaired: Repaired) -> None:
        self.repaired, self.now = repaired, repaired.load.places()
        tasks = repaired.load.case.problem.tasks.values()
        self.moved = [
            (t.id, t.previous, self.now.get(t.id))
            for t in tasks
            if not same_place(t.previous, self.now.get(t.id))
        ]
        self.where = {
            t.id: (k, i)
            for k, visits in enumerate(repaired.load.machines)
            for i, t in enumerate(visits.tasks)
        }

    def leaving(self, task: str) -> str:
        """Return why a task leaves its place, as a sentence."""
        before = self.repaired.load.case.problem.tasks[task].previous
        if before is None:
            return "It is new to the plan."
        k, i = self.where[task]
        if self._stands(task):
            return self._gives_way(task, before)
        rule = obstacle_with(self._others(k, before), k, i, before)
        return f"It cannot stay on {place(before)}: {rule}."

    def _stands(self, task: str) -> bool:
        """Tell whether the task could have stayed where it stood."""
        return task in self.repaired.stand.places()

    def _others(self, k: int, before: Spot) -> Load:
        """Return what can stand without the machine's own visit on that day."""
        load = self.repaired.stand.copy()
        load.clear(k)
        for slot in self.repaired.stand.chosen[k]:
            if slot[1] != before.day:
                load.put(k, slot)
        load.reprice(k)
        return load

    def _gives_way(self, task: str, before: Spot) -> str:
        """Say for whom a task makes room that could have stayed, or that moving is cheaper."""
        came = [t for t, _, after in self.moved if same_place(after, before)]
        came = came or [t for t, _, after in self.moved if after and after.day == before.day]
        others = [t for t in came if t != task]
        if others:
            return f"It makes room on {place(before)} for {', '.join(others[:SAID])}."
        return "It could stay, but moving it costs less."
