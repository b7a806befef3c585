"""The planner's whole problem: plain values (`entities`), keyed by id."""

from dataclasses import dataclass, replace

from .entities import Mechanic, PartStock, PlannedMachine, PlannedYard, Setup, Site, Task, Weights


@dataclass(frozen=True, slots=True)
class Problem:
    """A whole instance; every collection is keyed by id and keeps the order it was given in.

    `loose` are tasks that stood in the frozen days and need not stay there; they pay for moving.
    """

    horizon_days: int
    frozen_days: int
    weights: Weights
    yards: dict[str, PlannedYard]
    sites: dict[str, Site]
    mechanics: dict[str, Mechanic]
    parts: dict[str, PartStock]
    setups: dict[str, Setup]
    machines: dict[str, PlannedMachine]
    tasks: dict[str, Task]
    loose: frozenset[str] = frozenset()

    def held(self, task: Task) -> bool:
        """Tell whether the task stood in the frozen days and so keeps its day and mechanic."""
        stood = task.previous is not None and task.previous.day < self.frozen_days
        # A place that cannot be kept must not bind its task for ever: released, it may go
        # elsewhere.
        return stood and task.id not in self.loose

    def may_wait(self, task: Task) -> bool:
        """Tell whether the task may be put off past the last day of the horizon."""
        limited = task.limit_day is not None and task.limit_day < self.horizon_days
        return not (limited or task.pin or self.held(task))

    def released(self, tasks: frozenset[str]) -> "Problem":
        """Return the problem with limit day, pin and frozen place of `tasks` taken away."""
        freed = {
            key: replace(task, limit_day=None, pin=None) if key in tasks else task
            for key, task in self.tasks.items()
        }
        return replace(self, tasks=freed, loose=self.loose | tasks)
