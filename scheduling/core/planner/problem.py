"""The planner's whole problem, and how a dictionary becomes one.

A problem is plain values (`entities`), keyed by id.  `reading` reads the rows of the instance
format ``shop-plan-1`` and `contradictions` refuses what cannot be meant.
"""

from dataclasses import dataclass, replace

from .contradictions import refuse_contradictions
from .entities import (
    InstanceError,
    Machine,
    Mechanic,
    Part,
    Setup,
    Site,
    Task,
    Weights,
    Yard,
)
from .fields import as_fields
from .reading import FORMAT, LONGEST_HORIZON, Rows

__all__ = ["InstanceError", "Problem"]


@dataclass(frozen=True, slots=True)
class Problem:
    """A whole instance; every collection is keyed by id and keeps the order it was given in.

    `loose` are tasks that stood in the frozen days and need not stay there; they pay for moving.
    """

    horizon_days: int
    frozen_days: int
    weights: Weights
    yards: dict[str, Yard]
    sites: dict[str, Site]
    mechanics: dict[str, Mechanic]
    parts: dict[str, Part]
    setups: dict[str, Setup]
    machines: dict[str, Machine]
    tasks: dict[str, Task]
    loose: frozenset[str] = frozenset()

    @classmethod
    def from_dict(cls, instance: object) -> "Problem":
        """Read and check an instance of format ``shop-plan-1``; raise `InstanceError` if bad."""
        top = as_fields(instance, "")
        if top.get("format") != FORMAT:
            raise top.wrong("format", f"must be {FORMAT!r}, not {top.get('format')!r}")
        days = top.whole("horizon_days", 1, LONGEST_HORIZON)
        rows = Rows(top, days)
        problem = cls(
            horizon_days=days,
            frozen_days=top.whole("frozen_days", 0, days),
            weights=rows.weights(),
            yards=rows.yards(),
            sites=rows.sites(),
            mechanics=rows.mechanics(),
            parts=rows.parts(),
            setups=rows.setups(),
            machines=rows.machines(),
            tasks=rows.tasks(),
        )
        refuse_contradictions(problem)
        return problem

    def held(self, task: Task) -> bool:
        """Tell whether the task stood in the frozen days and so keeps its day and mechanic."""
        stood = task.previous is not None and task.previous.day < self.frozen_days
        return stood and task.id not in self.loose

    def may_wait(self, task: Task) -> bool:
        """Tell whether the task may be put off past the horizon."""
        limited = task.limit_day is not None and task.limit_day < self.horizon_days
        return not (limited or task.pin or self.held(task))

    def released(self, tasks: frozenset[str]) -> "Problem":
        """Return the problem with limit, pin and frozen place of `tasks` taken away."""
        freed = {
            key: replace(task, limit_day=None, pin=None) if key in tasks else task
            for key, task in self.tasks.items()
        }
        return replace(self, tasks=freed, loose=self.loose | tasks)
