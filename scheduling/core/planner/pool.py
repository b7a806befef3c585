"""Plan the yards of a problem, one after the other or in worker processes.

Each yard gets a share of the time that is left in proportion to its tasks; what one does not
use goes to those after it.  Processes are spawned, not forked: a fork copies the locks of the
solvers' threads and may hang.
"""

import multiprocessing
from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait

from .case import split_by_yard
from .problem import Problem
from .watch import Clock, Limits, Progress, Watch
from .yardplan import YardJob, YardPlan, plan_yard

LEAST_SECONDS_FOR_PROCESSES = 6.0
"""Wall-clock seconds below which starting processes takes more than it gives."""


def plan_yards(
    problem: Problem, limits: Limits, watch: Watch, progress: Progress | None = None
) -> list[YardPlan]:
    """Return a plan for each yard, in the order of the yards."""
    yards = list(split_by_yard(problem).values())
    jobs = sorted(range(len(yards)), key=lambda i: -len(yards[i].tasks))
    plans: dict[int, YardPlan] = {}
    for i, plan in _plans(yards, jobs, limits, watch):
        plans[i] = plan
        if progress is not None:
            progress(len(plans) / len(yards), sum(p.bound for p in plans.values()))
    return [plans[i] for i in range(len(yards))]


def _plans(
    yards: list[Problem], order: list[int], limits: Limits, watch: Watch
) -> Iterator[tuple[int, YardPlan]]:
    busy = [i for i in order if yards[i].tasks]
    yield from ((i, YardPlan({}, {}, 0.0, "optimal")) for i in order if not yards[i].tasks)
    processes = min(limits.workers, len(busy))
    alone = processes < 2 or limits.seconds < LEAST_SECONDS_FOR_PROCESSES
    if alone or multiprocessing.current_process().daemon:
        yield from _one_by_one(yards, busy, limits, watch)
    else:
        yield from _in_processes(yards, busy, limits, watch)


def _job(yards: list[Problem], left: list[int], limits: Limits, seconds: float) -> YardJob:
    """Return the job of the first yard in `left`, with its share of `seconds` for all of them."""
    tasks = sum(len(yards[i].tasks) for i in left)
    share = len(yards[left[0]].tasks) / tasks
    workers = 1 if len(yards) > 1 else limits.workers
    return YardJob(yards[left[0]], seconds * share, workers, limits.seed + left[0], limits.gap)


def _one_by_one(
    yards: list[Problem], order: list[int], limits: Limits, watch: Watch
) -> Iterator[tuple[int, YardPlan]]:
    for n, i in enumerate(order):
        job = _job(yards, order[n:], limits, watch.left())
        yield i, plan_yard(job, Watch.start(limits.clock, job.seconds))


def _in_processes(
    yards: list[Problem], order: list[int], limits: Limits, watch: Watch
) -> Iterator[tuple[int, YardPlan]]:
    context = multiprocessing.get_context("spawn")
    waiting = list(order)
    running: dict[Future[YardPlan], int] = {}
    with ProcessPoolExecutor(limits.workers, context) as pool:
        while waiting or running:
            while waiting and len(running) < limits.workers:
                seconds = watch.left() * min(limits.workers, len(waiting))
                job = _job(yards, waiting, limits, seconds)
                future = pool.submit(_plan_in_process, job, limits.clock, watch.left())
                running[future] = waiting.pop(0)
            for future in _finished(running):
                yield running.pop(future), future.result()


def _finished(running: dict[Future[YardPlan], int]) -> list[Future[YardPlan]]:
    done, _ = wait(running, return_when=FIRST_COMPLETED)
    return sorted(done, key=lambda future: running[future])


def _plan_in_process(job: YardJob, clock: Clock, most: float) -> YardPlan:
    return plan_yard(job, Watch.start(clock, min(job.seconds, most)))
