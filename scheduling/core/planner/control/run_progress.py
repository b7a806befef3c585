"""What a run tells while it works: the stage, the plan's cost and the bound so far.

Each yard reports for itself (`Reporter`), at most every `PAUSE` seconds within a stage; a `Board`
adds the yards up and hands the sum to whoever shows it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from math import inf

from .watch import Watch

PAUSE = 0.2
"""Least seconds between two reports of one stage."""


class Stage(StrEnum):
    """What goes on in a yard."""

    STARTING = "starting"
    """First plans are made."""
    TRYING = "trying"
    """Other places are tried, machine by machine."""
    PROVING = "proving"
    """The bound grows."""
    ROUNDING = "rounding"
    """The bound's solution is made into plans."""
    IMPROVING = "improving"
    """A few machines at a time are planned anew."""
    EXPLAINING = "explaining"
    """The reasons are stated."""
    PLANNED = "planned"
    """A yard is planned for good."""


@dataclass(frozen=True, slots=True)
class RunProgress:
    """How far a run is.

    `stage` is what goes on; `share` (0 to 1) of the yards are planned for good, which is `planned`
    of all `yards`; `cost` is the money of the best plan so far, infinite while a yard has none;
    `bound` is the money below which no plan is possible, as far as that is proven.
    """

    stage: Stage
    share: float
    cost: float
    bound: float
    planned: int = 0
    yards: int = 1


@dataclass(frozen=True, slots=True)
class Report:
    """A yard's stage, the cost of its best plan, and its proven bound (money)."""

    stage: Stage
    cost: float
    bound: float


Tell = Callable[[Report], None]
"""Takes a yard's reports."""


def silent(_: Report) -> None:
    """Tell nobody."""


@dataclass(slots=True)
class Reporter:
    """Hands a yard's reports on, with pauses between those of one stage."""

    watch: Watch
    tell: Tell
    stage: Stage | None = None
    next_time: float = 0.0

    def due(self) -> bool:
        """Tell whether the stage's last report is `PAUSE` seconds old."""
        return self.watch.elapsed() >= self.next_time

    def report(self, stage: Stage, cost: float, bound: float) -> None:
        """Report unless the same stage was reported less than `PAUSE` seconds ago."""
        if stage != self.stage or self.due():
            self.stage, self.next_time = stage, self.watch.elapsed() + PAUSE
            self.tell(Report(stage, cost, bound))


class Board:
    """The sum of the reports of all yards of a problem."""

    def __init__(self, yards: int, show: Callable[[RunProgress], None] | None) -> None:
        # Infinite until a yard has a plan: a sum over some of the yards would be taken for the
        # whole.
        self.reports = [Report(Stage.STARTING, inf, 0.0)] * yards
        self.done: set[int] = set()
        self.show = show

    def note(self, yard: int, report: Report) -> None:
        """Take a yard's report and show the sum; what comes late from a planned yard is dropped."""
        # Reports come through a queue and may arrive after the yard's own result.
        if yard not in self.done:
            self.reports[yard] = report
            self._show(report.stage)

    def finish(self, yard: int, cost: float, bound: float) -> None:
        """Note that a yard is planned for good and show the sum: share of yards done, money."""
        self.reports[yard] = Report(Stage.PLANNED, cost, bound)
        self.done.add(yard)
        self._show(Stage.PLANNED)

    def _show(self, stage: Stage) -> None:
        if self.show is not None:
            cost = sum(r.cost for r in self.reports)
            bound = sum(r.bound for r in self.reports)
            planned, yards = len(self.done), len(self.reports)
            share = planned / max(1, yards)
            self.show(RunProgress(stage, share, cost, bound, planned, yards))
