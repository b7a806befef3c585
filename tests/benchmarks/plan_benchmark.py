"""Let Evener and three simpler planners plan the same shops, and print what came of it.

    python -m tests.benchmarks.plan_benchmark [--sizes S,M,400,L,XL] [--seeds 1-3]
        [--seconds 2,10,60] [--workers 2] [--only-ours] [--quick]
    python -m tests.benchmarks.plan_benchmark --shape demo,yard430,twos,long,published,away

Instances: `plan_sizes`, `plan_shapes`, and those of the site itself (`plan_site_shapes`), some of
whose rules the simpler planners do not know; simpler planners: `plan_simple`, `plan_plain_model`.
Every plan is checked and priced by `tests.plan_check`. Exit status 1 if a plan of ours breaks a
rule, states another price than the checker finds, or has a bound above any plan found.
"""

import argparse
import os
import platform
import statistics
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.plan_contest import OURS, SIMPLE_WAYS, Outcome, Run, beaten_bounds, compete
from tests.benchmarks.plan_shapes import SHAPES, made
from tests.benchmarks.plan_site_shapes import SITE_SHAPES
from tests.benchmarks.plan_sizes import SIZES

TIMES = {
    "S": (10.0,),
    "M": (2.0, 10.0, 60.0),
    "400": (30.0, 60.0),
    "L": (10.0, 60.0),
    "XL": (600.0,),
    **dict.fromkeys(SHAPES, (10.0,)),
    **dict.fromkeys(SITE_SHAPES, (20.0, 60.0)),
}
"""Wall-clock seconds that Evener is given, unless --seconds says otherwise."""

PLAIN_UP_TO = 600
"""Tasks up to which the plain model is tried; beyond it has found nothing better than its start."""

OVER_TIME = 1.1
"""Share of the time given beyond which a run is marked; starting and ending Python counts."""

GREEDY = "greedy grouping"
QUICK = ("S", "M", "skills")
COLUMNS = (
    "instance",
    "planner",
    "s given",
    "cost",
    "bound",
    "gap %",
    "s",
    "MB",
    "tasks",
    "remarks",
)
SUMMARY = (
    "size",
    "s given",
    "runs",
    "median gap %",
    "worst gap %",
    "least saved on greedy %",
    "most s",
    "most MB",
)


def numbers(text: str) -> list[int]:
    """Read "1-3,7" as 1, 2, 3, 7."""
    found: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        found += range(int(first), int(last or first) + 1)
    return found


def options(arguments: Sequence[str] | None = None) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sizes", default="S,M,400,L,XL,skills,late,overdue")
    parser.add_argument("--shape", help=f"shops of the site: {', '.join(SITE_SHAPES)}")
    parser.add_argument("--seeds", type=numbers, default=[1, 2, 3], help="such as 1-3,7")
    parser.add_argument("--seconds", help="seconds given to Evener, such as 2,10,60")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only-ours", action="store_true", help="leave the simpler planners out")
    parser.add_argument("--quick", action="store_true", help="small: S, M, skills; seed 1; 3 s")
    chosen = parser.parse_args(arguments)
    if chosen.quick:
        chosen.sizes, chosen.seeds, chosen.seconds = ",".join(QUICK), [1], chosen.seconds or "3"
    if chosen.shape:
        chosen.sizes, chosen.seeds, chosen.only_ours = chosen.shape, chosen.seeds[:1], True
    chosen.sizes = chosen.sizes.split(",")
    known = [*SIZES, *SHAPES, *SITE_SHAPES]
    unknown = [name for name in chosen.sizes if name not in known]
    if unknown:
        parser.error(f"--sizes: {unknown[0]} is none of {', '.join(known)}")
    return chosen


def runs(size: str, tasks: int, chosen: argparse.Namespace) -> Iterator[Run]:
    """Yield who plans an instance, and for how long."""
    given = chosen.seconds and tuple(map(float, chosen.seconds.split(",")))
    times = given or TIMES[size]
    if not chosen.only_ours:
        for way in SIMPLE_WAYS:
            if way != "plain model" or tasks <= PLAIN_UP_TO:
                yield Run(way, max(times), chosen.workers)
    for seconds in times:
        yield Run(OURS, seconds, chosen.workers)


def line(name: str, tasks: int, outcome: Outcome) -> str:
    """Return an outcome as a row of the table."""
    best = outcome.total
    cells = (
        name,
        outcome.run.way,
        f"{outcome.run.seconds:g}" if outcome.run.way in (OURS, "plain model") else "",
        "none" if best is None else f"{best:,.2f}",
        "" if outcome.bound is None else f"{outcome.bound:,.2f}",
        "" if outcome.gap is None else f"{100 * outcome.gap:.2f}",
        f"{outcome.seconds:.1f}",
        f"{outcome.memory / 1e6:.0f}",
        str(tasks),
        _remarks(outcome),
    )
    return "| " + " | ".join(cells) + " |"


def _remarks(outcome: Outcome) -> str:
    if outcome.wrong:
        return f"{len(outcome.wrong)} wrong: {outcome.wrong[0]}".replace("|", "/")
    timed = outcome.run.way in (OURS, "plain model")
    late = timed and outcome.seconds > OVER_TIME * outcome.run.seconds
    words = ("proven best" * (outcome.stopped == "optimal"), "over time" * late)
    return ", ".join(word for word in words if word)


def heading(cells: Sequence[str]) -> str:
    """Return a table's first two lines."""
    return "| " + " | ".join(cells) + " |\n|" + " --- |" * len(cells)


@dataclass(frozen=True)
class Entry:
    """A run of ours, and what greedy grouping cost on the same instance (None where not asked)."""

    outcome: Outcome
    greedy: float | None

    @property
    def gap(self) -> float:
        """Return the gap in per cent, 100 without a plan."""
        return 100 * (1.0 if self.outcome.gap is None else self.outcome.gap)

    @property
    def saved(self) -> float | None:
        """Return by how many per cent ours is cheaper than greedy grouping."""
        if not self.greedy or self.outcome.total is None:
            return None
        return 100 * (1 - self.outcome.total / self.greedy)


def summary(ours: dict[tuple[str, float], list[Entry]]) -> Iterator[str]:
    """Yield gap, saving, time and memory of ours, by size and seconds given."""
    yield heading(SUMMARY)
    for (size, seconds), entries in ours.items():
        gaps, outcomes = [e.gap for e in entries], [e.outcome for e in entries]
        saved = [e.saved for e in entries if e.saved is not None]
        cells = (
            size,
            f"{seconds:g}",
            str(len(entries)),
            f"{statistics.median(gaps):.2f}",
            f"{max(gaps):.2f}",
            f"{min(saved):.1f}" if saved else "",
            f"{max(o.seconds for o in outcomes):.1f}",
            f"{max(o.memory for o in outcomes) / 1e6:.0f}",
        )
        yield "| " + " | ".join(cells) + " |"


def say(text: str) -> None:
    """Print at once, so that a long benchmark can be followed."""
    print(text, flush=True)  # noqa: T201


def main(arguments: Sequence[str] | None = None) -> int:
    """Compete, judge, print; return the exit status."""
    chosen = options(arguments)
    ours: dict[tuple[str, float], list[Entry]] = defaultdict(list)
    failures: list[str] = []
    say(f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}\n")
    say(heading(COLUMNS))
    with tempfile.TemporaryDirectory() as folder:
        for size in chosen.sizes:
            for seed in chosen.seeds:
                case = made(size, seed)
                tasks, outcomes = len(case["tasks"]), []
                for run in runs(size, tasks, chosen):
                    outcomes.append(compete(case, run, Path(folder)))
                    say(line(f"{size} {seed}", tasks, outcomes[-1]))
                mine = [o for o in outcomes if o.run.way == OURS]
                greedy = next((o.total for o in outcomes if o.run.way == GREEDY), None)
                for outcome in mine:
                    ours[size, outcome.run.seconds].append(Entry(outcome, greedy))
                wrong = [w for o in mine for w in o.wrong] + beaten_bounds(outcomes)
                failures += [f"{size} {seed}: {text}" for text in wrong]
    say("\n" + "\n".join(summary(ours)))
    say(
        "\n"
        + ("\n".join(failures) or "Every plan of ours keeps every rule and costs what it says.")
    )
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
