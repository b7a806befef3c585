"""Plan an instance file by one of the simple ways, as a process of its own.

python -m tests.benchmarks.plan_baseline WAY INSTANCE.json --out PLAN.json
    [--seconds N] [--workers N]
"""

import argparse
import json
import time
from collections.abc import Callable
from pathlib import Path

from tests.benchmarks.plan_plain_model import plain_model
from tests.benchmarks.plan_room import Row
from tests.benchmarks.plan_simple import due_date_order, greedy_grouping


def plain(case: Row, until: float, workers: int) -> Row:
    """Plan by the plain model; building it is part of the time."""
    solved = plain_model(case, lambda: until - time.monotonic(), workers)
    return solved.plan | {"bound": solved.bound}


WAYS: dict[str, Callable[[Row, float, int], Row]] = {
    "due-date order": lambda case, until, workers: due_date_order(case),
    "greedy grouping": lambda case, until, workers: greedy_grouping(case),
    "plain model": plain,
}


def main() -> None:
    """Read, plan, write."""
    started = time.monotonic()
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("way", choices=WAYS)
    parser.add_argument("instance", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--workers", type=int, default=2)
    chosen = parser.parse_args()
    case = json.loads(chosen.instance.read_text(encoding="utf-8"))
    plan = WAYS[chosen.way](case, started + chosen.seconds, chosen.workers)
    chosen.out.write_text(json.dumps(plan), encoding="utf-8")


if __name__ == "__main__":
    main()
