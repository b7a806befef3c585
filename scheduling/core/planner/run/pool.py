"""Plan the yards of a problem, one after the other or in worker processes.

Each yard gets a share of the time that is left in proportion to its tasks; what one does not
use goes to those after it.  Processes are spawned, not forked: a fork copies the locks of the
solvers' threads and may hang.
"""

import multiprocessing
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing.queues import SimpleQueue

from scheduling.core.planner.control import PAUSE, Board, Report, RunLimits, RunProgress, Watch
from scheduling.core.planner.problem import Problem, Spot, Task, split_by_yard

from .yardplan import YardJob, YardPlan, plan_yard

LEAST_SECONDS_FOR_PROCESSES = 6.0
"""Wall-clock seconds below which starting processes takes more than it gives."""


@dataclass(frozen=True, slots=True)
class YardStart:
    """One yard's problem, and the places of a plan to go on from."""

    problem: Problem
    places: Mapping[str, Spot]

    @property
    def tasks(self) -> Mapping[str, Task]:
        """Return the yard's tasks by id."""
        return self.problem.tasks

    def own_places(self) -> dict[str, Spot]:
        """Return the places of the yard's own tasks."""
        return {name: spot for name, spot in self.places.items() if name in self.tasks}


LEAST = 1e-3
"""Seconds that a yard is given when none are left: enough for its first plan."""


def plan_yards(
    problem: Problem,
    limits: RunLimits,
    watch: Watch,
    progress: Callable[[RunProgress], None] | None = None,
    start: Mapping[str, Spot] | None = None,
) -> list[YardPlan]:
    """Return a plan for each yard, in their order; each gets a share of the seconds left.

    `start` are places of a plan to go on from.
    """
    yards = [YardStart(yard, start or {}) for yard in split_by_yard(problem).values()]
    # Longest first, so that the last process to end has little left (Graham 1969, SIAM J. Appl.
    # Math. 17:416, doi 10.1137/0117039).
    jobs = sorted(range(len(yards)), key=lambda i: -len(yards[i].tasks))
    plans: dict[int, YardPlan] = {}
    board = Board(len(yards), progress)
    for i, plan in _plans(yards, jobs, limits, watch, board):
        plans[i] = plan
        board.finish(i, plan.cost, plan.bound)
    return [plans[i] for i in range(len(yards))]


def _plans(
    yards: list[YardStart], order: list[int], limits: RunLimits, watch: Watch, board: Board
) -> Iterator[tuple[int, YardPlan]]:
    busy = [i for i in order if yards[i].tasks]
    yield from ((i, YardPlan({}, {}, 0.0, 0.0, "optimal")) for i in order if not yards[i].tasks)
    processes = min(limits.workers, len(busy))
    alone = processes < 2 or limits.seconds < LEAST_SECONDS_FOR_PROCESSES
    # A daemonic process, such as that of a queue's worker, may not start processes of its own.
    if alone or multiprocessing.current_process().daemon:
        yield from _one_by_one(yards, busy, limits, watch, board)
    else:
        yield from _in_processes(yards, busy, limits, watch, board)


def _job(yards: list[YardStart], left: list[int], limits: RunLimits, seconds: float) -> YardJob:
    """Return the job of the first yard in `left`, with its share of `seconds` for all of them."""
    tasks = sum(len(yards[i].tasks) for i in left)
    share = len(yards[left[0]].tasks) / tasks
    workers = 1 if len(yards) > 1 else limits.workers
    mine = replace(
        # A seed of its own for each yard, or alike yards would draw alike.
        limits,
        seconds=max(LEAST, seconds * share),
        workers=workers,
        seed=limits.seed + left[0],
    )
    return YardJob(yards[left[0]].problem, mine, yards[left[0]].own_places())


def _one_by_one(
    yards: list[YardStart], order: list[int], limits: RunLimits, watch: Watch, board: Board
) -> Iterator[tuple[int, YardPlan]]:
    for n, i in enumerate(order):
        job = _job(yards, order[n:], limits, watch.left())
        yield (
            i,
            plan_yard(job, Watch.start(limits.clock, job.limits.seconds), partial(board.note, i)),
        )


def _in_processes(
    yards: list[YardStart], order: list[int], limits: RunLimits, watch: Watch, board: Board
) -> Iterator[tuple[int, YardPlan]]:
    context = multiprocessing.get_context("spawn")
    waiting = list(order)
    running: dict[Future[YardPlan], int] = {}
    told: SimpleQueue[tuple[int, Report]] = context.SimpleQueue()
    with ProcessPoolExecutor(limits.workers, context, _speak_into, (told,)) as pool:
        while waiting or running:
            while waiting and len(running) < limits.workers:
                # As many yards run at once as there are workers, so there are that many times the
                # seconds left to share out.
                seconds = watch.left() * min(limits.workers, len(waiting))
                job = _job(yards, waiting, limits, seconds)
                future = pool.submit(_plan_in_process, waiting[0], job, watch.left())
                running[future] = waiting.pop(0)
            while not told.empty():
                board.note(*told.get())
            for future in _finished(running):
                yield running.pop(future), future.result()


def _finished(running: dict[Future[YardPlan], int]) -> list[Future[YardPlan]]:
    done, _ = wait(running, PAUSE, FIRST_COMPLETED)
    return sorted(done, key=lambda future: running[future])


_mouthpiece: list["SimpleQueue[tuple[int, Report]]"] = []


def _speak_into(told: "SimpleQueue[tuple[int, Report]]") -> None:
    """Remember in a worker process where its yards' reports go."""
    _mouthpiece[:] = [told]


def _plan_in_process(yard: int, job: YardJob, most: float) -> YardPlan:
    def tell(report: Report) -> None:
        _mouthpiece[0].put((yard, report))

    # A stopwatch need not mean the same in another process: seconds are handed over and count from
    # there.
    watch = Watch.start(job.limits.clock, min(job.limits.seconds, most))
    return plan_yard(job, watch, tell)
