"""Plan shop days from an instance file, without a database.

Exit status 0: a plan that keeps every limit; 2: the instance or an option cannot be used;
3: no plan keeps every limit, and the best one that breaks the fewest has been written.
"""

import json
import os
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from scheduling.core.planner import InstanceError, Result, RunLimits, read_problem, solve
from scheduling.wording import IdNames, clash_reason, limit_words, plan_file

LEAST_SECONDS = 0.05
"""Wall-clock seconds given to the search when reading has used up the time."""

SHARE_TO_WRITE = 0.03
"""Share of the time kept back for writing the plan."""

START_TIME_FIELD = 19
"""Where proc(5) has the start time of a process, counted after the command's name."""

LONGEST_START = 60.0
"""Seconds beyond which the age of a process is not believed."""


class Command(BaseCommand):
    help = "Plan shop days from an instance file of format shop-plan-1, without a database."
    requires_system_checks: list[str] = []

    spent = 0.0
    """Seconds that went by before this command was run; only known on the command line."""

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("instance", help="JSON file of format shop-plan-1")
        parser.add_argument("--out", required=True, help="where the plan is written")
        parser.add_argument("--seconds", type=float, default=10.0, help="wall-clock time (10)")
        parser.add_argument(
            "--workers", type=int, default=os.cpu_count() or 1, help="cores to use (all)"
        )
        parser.add_argument("--seed", type=int, default=0, help="the search repeats itself (0)")

    def run_from_argv(self, argv: list[str]) -> None:
        # starting Python and the libraries is part of the time that was asked for
        self.spent = _seconds_since_start()
        super().run_from_argv(argv)

    def handle(self, *args: Any, **options: Any) -> None:
        started = time.monotonic() - self.spent
        limits = _limits(options)
        try:
            problem = read_problem(_read(options["instance"]))
        except InstanceError as error:
            raise CommandError(str(error), returncode=2) from error
        left = limits.seconds * (1 - SHARE_TO_WRITE) - (time.monotonic() - started)
        result = solve(problem, RunLimits(max(LEAST_SECONDS, left), limits.workers, limits.seed))
        seconds = time.monotonic() - started
        _write(options["out"], plan_file(result) | {"seconds": round(seconds, 3)})
        if not result.feasible:
            raise CommandError(_clash_words(result), returncode=3)
        self.stdout.write(
            f"{len(result.assignments)} tasks planned, {len(result.deferred)} deferred: "
            f"{result.total:.2f}, at most {100 * result.gap:.2f} % above the cheapest possible "
            f"({result.stopped}, {seconds:.1f} s)."
        )


def _seconds_since_start() -> float:
    """Return the age of this process where the system tells, else the processor time it took."""
    worked = time.process_time()
    try:
        fields = Path("/proc/self/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
        started = float(fields[START_TIME_FIELD]) / os.sysconf("SC_CLK_TCK")
        up = float(Path("/proc/uptime").read_text(encoding="utf-8").split()[0])
    except (OSError, ValueError, IndexError):
        return worked
    return up - started if worked <= up - started < LONGEST_START else worked


def _limits(options: dict[str, Any]) -> RunLimits:
    try:
        return RunLimits(options["seconds"], options["workers"], options["seed"])
    except ValueError as error:
        raise CommandError(f"--{error}", returncode=2) from error


def _read(path: str) -> object:
    try:
        return json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise CommandError(f"{path}: cannot be read: {error.strerror}", returncode=2) from error
    except ValueError as error:
        raise CommandError(f"{path}: is not JSON: {error}", returncode=2) from error
    except RecursionError as error:
        raise CommandError(f"{path}: is nested too deeply to be read", returncode=2) from error


def _write(path: str, plan: dict[str, Any]) -> None:
    try:
        Path(path).write_text(json.dumps(plan, indent=1) + "\n", encoding="utf-8")
    except OSError as error:
        raise CommandError(f"{path}: cannot be written: {error.strerror}", returncode=2) from error


def _clash_words(result: Result) -> str:
    proven = "No plan keeps" if result.fewest else "No plan was found that keeps"
    names = IdNames()
    clashes = "\n".join(
        f"  {c.task} ({limit_words(c.limit, names)}): {clash_reason(c, names)}"
        for c in result.clashes
    )
    return f"{proven} every limit; the plan written breaks {len(result.clashes)}:\n{clashes}"
