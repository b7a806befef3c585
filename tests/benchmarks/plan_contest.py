"""Let one planner plan one instance as a process of its own, and judge what it wrote.

Measured from outside: wall-clock seconds from start to exit, and the most memory that the process
and those it started held together (pages shared between them counted in each; `MEMORY_EVERY`).
The plan is checked and priced by `tests.plan_check`, whatever the planner says of it.
"""

import json
import os
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.plan_baseline import WAYS
from tests.benchmarks.plan_room import Row
from tests.plan_check import check

MEMORY_EVERY = 0.1
"""Seconds between two looks at the memory."""

OURS = "Evener"
CENT = 0.01
ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Run:
    """Who plans, and with what: wall-clock seconds, workers, seed of the search."""

    way: str
    seconds: float
    workers: int
    seed: int = 0

    def command(self, instance: Path, plan: Path) -> list[str]:
        """Return the command line."""
        files = [str(instance), "--out", str(plan)]
        with_what = ["--seconds", f"{self.seconds:g}", "--workers", str(self.workers)]
        if self.way == OURS:
            door = [str(ROOT / "manage.py"), "solve_plan"]
            return [sys.executable, *door, *files, *with_what, "--seed", str(self.seed)]
        module = ["-m", "tests.benchmarks.plan_baseline", self.way]
        return [sys.executable, *module, *files, *with_what]


@dataclass(frozen=True)
class Outcome:
    """What came of a run. `total` is the checker's price, None without a plan; `bound` is what the
    planner claims no plan can beat; `wrong` are sentences, empty when all is well.
    """

    run: Run
    total: float | None
    bound: float | None
    seconds: float
    memory: int
    wrong: tuple[str, ...]
    stopped: str = ""

    @property
    def gap(self) -> float | None:
        """Return (total - own bound) / total."""
        if not self.total or self.bound is None:
            return None
        return max(0.0, (self.total - self.bound) / self.total)


def compete(case: Row, run: Run, folder: Path) -> Outcome:
    """Run a planner on an instance and judge its plan; files go to `folder`."""
    instance, written = folder / "instance.json", folder / "plan.json"
    instance.write_text(json.dumps(case), encoding="utf-8")
    written.unlink(missing_ok=True)
    said = folder / "said.txt"
    started = time.monotonic()
    with (
        said.open("w", encoding="utf-8") as errors,
        subprocess.Popen(
            run.command(instance, written), cwd=ROOT, stdout=subprocess.DEVNULL, stderr=errors
        ) as process,
    ):
        memory = _watch_memory(process)
    seconds = time.monotonic() - started
    words = said.read_text(encoding="utf-8").strip()[-300:]
    if not written.exists():
        return Outcome(run, None, None, seconds, memory, (f"no plan: {words}",))
    plan = json.loads(written.read_text(encoding="utf-8"))
    total, wrong = judge(case, plan)
    if run.way == OURS and process.returncode != 0:
        wrong = (f"exit {process.returncode}: {words}", *wrong)
    return Outcome(run, total, plan.get("bound"), seconds, memory, wrong, plan.get("stopped", ""))


def judge(case: Row, plan: Row) -> tuple[float, tuple[str, ...]]:
    """Return the checker's price of a plan and all that is wrong with it."""
    report = check(case, plan)
    wrong = list(report.faults)
    if "total" in plan and abs(plan["total"] - report.total) > CENT:
        wrong.append(f"price: says {plan['total']:.2f}, costs {report.total:.2f}")
    if "bound" in plan and plan["bound"] > report.total + CENT:
        wrong.append(f"bound: {plan['bound']:.2f} is above the cost {report.total:.2f}")
    return report.total, tuple(wrong)


def beaten_bounds(outcomes: Sequence[Outcome]) -> list[str]:
    """Return what speaks against a bound of ours: a feasible plan of anybody that costs less."""
    feasible = [o.total for o in outcomes if o.total is not None and not o.wrong]
    least = min(feasible, default=float("inf"))
    return [
        f"bound: {o.bound:.2f} of {o.run.way} is above a plan that costs {least:.2f}"
        for o in outcomes
        if o.bound is not None and o.bound > least + CENT
    ]


def _watch_memory(process: subprocess.Popen) -> int:
    """Wait for a process; return the most bytes that it and its children held, 0 if unknown."""
    most = 0
    while process.poll() is None:
        most = max(most, _held_by(process.pid))
        time.sleep(MEMORY_EVERY)
    return most


def _held_by(root: int) -> int:
    """Return the resident bytes of a process and all below it (proc(5); 0 where there is none)."""
    children: dict[int, list[int]] = defaultdict(list)
    pages: dict[int, int] = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = entry.read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
        except OSError:
            continue  # it ended while we looked
        children[int(fields[1])].append(int(entry.parent.name))
        pages[int(entry.parent.name)] = int(fields[21])
    family, held = [root], 0
    while family:
        one = family.pop()
        held += pages.get(one, 0)
        family += children[one]
    return held * os.sysconf("SC_PAGE_SIZE")


SIMPLE_WAYS = tuple(WAYS)
