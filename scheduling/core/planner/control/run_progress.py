"""What a run tells while it works: the stage in words, the plan's cost and the bound so far.

Each yard reports for itself (`Reporter`), at most every `PAUSE` seconds within a stage; a `Board`
adds the yards up and hands the sum to whoever shows it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf

from .watch import Watch

PAUSE = 0.2
"""Least seconds between two reports of one stage."""


@dataclass(frozen=True, slots=True)
class RunProgress:
    """How far a run is.

    `stage` is what goes on, in words; `share` (0 to 1) of the yards are planned for good; `cost`
    is the money of the best plan so far, infinite while a yard has none; `bound` is the money
    below which no plan is possible, as far as that is proven.
    """

    stage: str
    share: float
    cost: float
    bound: float


@dataclass(frozen=True, slots=True)
class Report:
    """A yard's stage in words, the cost of its best plan, and its proven bound (money)."""

    stage: str
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
    stage: str = ""
    next_time: float = 0.0

    def due(self) -> bool:
        """Tell whether the stage's last report is `PAUSE` seconds old."""
        return self.watch.elapsed() >= self.next_time

    def report(self, stage: str, cost: float, bound: float) -> None:
        """Report unless the same stage was reported less than `PAUSE` seconds ago."""
        if stage != self.stage or self.due():
            self.stage, self.next_time = stage, self.watch.elapsed() + PAUSE
            self.tell(Report(stage, cost, bound))


class Board:
    """The sum of the reports of all yards of a problem."""

    def __init__(self, yards: int, show: Callable[[RunProgress], None] | None) -> None:
        # Infinite until a yard has a plan: a sum over some of the yards would be taken for the
        # whole.
        self.reports = [Report("", inf, 0.0)] * yards
        self.done: set[int] = set()
        self.show = show

    def note(self, yard: int, report: Report) -> None:
        """Take a yard's report and show the sum; what comes late from a planned yard is dropped."""
        # Reports come through a queue and may arrive after the yard's own result.
        if yard not in self.done:
            self.reports[yard] = report
            self._show(report.stage)

    def finish(self, yard: int, cost: float, bound: float) -> None:
        """Note that a yard is planned for good and show the sum: fraction of yards done, money."""
        self.reports[yard] = Report("planned", cost, bound)
        self.done.add(yard)
        self._show(f"{len(self.done)} of {len(self.reports)} yards planned")

    def _show(self, stage: str) -> None:
        if self.show is not None:
            cost = sum(r.cost for r in self.reports)
            bound = sum(r.bound for r in self.reports)
            share = len(self.done) / max(1, len(self.reports))
            self.show(RunProgress(stage, share, cost, bound))
