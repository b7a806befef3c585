"""Plan a shop by seconds of processor, so that a busy machine's figures can be compared.

    python -m tests.benchmarks.plan_by_processor [--sizes M] [--seeds 1-3] [--seconds 10]

As `plan_benchmark`, in one process, with a stopwatch that counts what the process worked.  What
two workers would do at once is done one after the other and counts as long as the longer of both,
as on two quiet cores; starting Python and reading the problem are left out.  The exact solver's own
deadline, which goes by the clock on the wall, is left out too: each solve ends by its work.
Exit status 1 if a plan breaks a rule, states another price than the checker finds, or lies below
its bound.
"""

import argparse
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pkgutil import resolve_name
from typing import Any, Self
from unittest.mock import patch

from scheduling.core.planner import RunLimits, read_problem, solve
from tests.benchmarks.plan_benchmark import heading, numbers, say
from tests.benchmarks.plan_contest import judge
from tests.benchmarks.plan_shapes import made

WORKERS = 2
THREADS = "scheduling.core.planner.search.polish.ThreadPoolExecutor"
COLUMNS = ("instance", "s of processor", "cost", "bound", "gap %", "stopped", "wrong")


class TwoCores:
    """A stopwatch of processor time, in which what `Turns` did one by one was done at once."""

    def __init__(self) -> None:
        self.given_back = 0.0

    def __call__(self) -> float:
        """Return the seconds so far."""
        return time.process_time() - self.given_back


class Turns:
    """Stands in for a pool of threads: each call has its turn, and the clock is set right."""

    def __init__(self, clock: TwoCores) -> None:
        self.clock, self.took, self.since = clock, [0.0], 0.0

    def __enter__(self) -> Self:
        return self

    def map(self, call: Callable[..., Any], *arguments: Sequence[Any]) -> Iterator[Any]:
        """Call at once and one after the other, as `ThreadPoolExecutor.map` would in threads."""
        answers = []
        for given in zip(*arguments, strict=True):
            started = time.process_time()
            answers.append(call(*given))
            self.took.append(time.process_time() - started)
        self.since = time.process_time()
        return iter(answers)

    def __exit__(self, *_: object) -> None:
        # What was done beside the calls counts as one of them.
        self.took.append(time.process_time() - self.since)
        self.clock.given_back += sum(self.took) - max(self.took)


UNHURRIED = 3600.0
"""Wall-clock seconds that a solve may take on a busy machine."""

SOLVER = "scheduling.core.planner.search.exact_model.Model.solve"
SOLVE = resolve_name(SOLVER)


def solved(model: Any, effort: Any) -> Any:
    """Solve until the work of the effort is done, however long others hold the processor."""
    return SOLVE(model, replace(effort, seconds=UNHURRIED))


def planned(name: str, seed: int, seconds: float) -> tuple[str, list[str]]:
    """Return a line of the table, and all that is wrong with the plan."""
    case, clock = made(name, seed), TwoCores()
    with patch(THREADS, lambda _: Turns(clock)), patch(SOLVER, solved):
        result = solve(read_problem(case), RunLimits(seconds, workers=WORKERS, clock=clock))
    total, wrong = judge(case, result.to_dict())
    cells = (
        f"{name} {seed}", f"{seconds:g}", f"{total:,.2f}", f"{result.bound:,.2f}",
        f"{100 * (total - result.bound) / total:.2f}", result.stopped, str(len(wrong)),
    )  # fmt: skip
    return "| " + " | ".join(cells) + " |", list(wrong)


def main(arguments: Sequence[str] | None = None) -> int:
    """Plan, judge, print; return the exit status."""
    parser = argparse.ArgumentParser(description="Plan shops by seconds of processor")
    parser.add_argument("--sizes", default="M", help="as in plan_benchmark, its shapes too")
    parser.add_argument("--seeds", type=numbers, default=[1, 2, 3], help="such as 1-3,7")
    parser.add_argument("--seconds", default="10", help="seconds of processor, such as 10,60")
    chosen = parser.parse_args(arguments)
    say(heading(COLUMNS))
    failures: list[str] = []
    for name in chosen.sizes.split(","):
        for seed in chosen.seeds:
            for seconds in map(float, chosen.seconds.split(",")):
                row, wrong = planned(name, seed, seconds)
                failures += wrong
                say(row)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
