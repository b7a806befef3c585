"""Bin packing through the planner's door: a shop day is a bin, and equal mechanics' days are bins.

    python -m tests.benchmarks.plan_packing [--seeds 1-3] [--seconds 20] [--workers 2]

Items are machines at one ranch, a trip there costs 1, everything else 0; so a plan's cost is the
number of bins. The two classes are drawn in the manner of E. Falkenauer, "A hybrid grouping genetic
algorithm for bin packing", J. of Heuristics 2 (1996) 5-30, which are those of the OR-Library (J. E.
Beasley, J. Opl. Res. Soc. 41 (1990) 1069-1072); how the triplets are drawn is from memory. The
optimum is provable: triplets fill every bin to the brim, for the others there is the bound L2 of
S. Martello and P. Toth, "Knapsack problems" (1990), section 8.3.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random

from tests.benchmarks.plan_benchmark import heading, numbers, say
from tests.benchmarks.plan_contest import OURS, Outcome, Run, compete
from tests.benchmarks.plan_instances import (
    Row,
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)

MECHANICS = 4


def uniform(count: int, rng: Random) -> tuple[list[int], int]:
    """Draw sizes 20 to 100 for bins of 150."""
    return [rng.randint(20, 100) for _ in range(count)], 150


def triplets(count: int, rng: Random) -> tuple[list[int], int]:
    """Draw bins of 1000 that three sizes between a quarter and a half fill to the brim."""
    sizes: list[int] = []
    for _ in range(count // 3):
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    rng.shuffle(sizes)
    return sizes, 1000


CLASSES: dict[str, tuple[Callable[[int, Random], tuple[list[int], int]], tuple[int, ...]]] = {
    "uniform": (uniform, (120, 250, 500)),
    "triplets": (triplets, (60, 120, 249)),
}


def items(kind: str, count: int, seed: int) -> tuple[list[int], int]:
    """Return sizes and the bins' capacity of a class, a number of items and a seed."""
    return CLASSES[kind][0](count, Random(f"{kind}-{count}-{seed}"))


def first_fit_decreasing(sizes: Sequence[int], capacity: int) -> int:
    """Return the bins used when the largest item goes first, each into the first bin it fits."""
    free: list[int] = []
    for size in sorted(sizes, reverse=True):
        bin_ = next((n for n, left in enumerate(free) if left >= size), None)
        if bin_ is None:
            free.append(capacity - size)
        else:
            free[bin_] -= size
    return len(free)


def fewest_bins_at_least(sizes: Sequence[int], capacity: int) -> int:
    """Return the bound L2: no packing has fewer bins.

    For each size k up to half a bin: items above half a bin need one each, and those from k to half
    a bin fit only beside the ones that leave k or more.
    """
    best = -(-sum(sizes) // capacity)
    for k in {size for size in sizes if 2 * size <= capacity}:
        alone = [s for s in sizes if s > capacity - k]
        large = [s for s in sizes if capacity - k >= s and 2 * s > capacity]
        small = [s for s in sizes if k <= s and 2 * s <= capacity]
        over = sum(small) - (len(large) * capacity - sum(large))
        best = max(best, len(alone) + len(large) + max(0, -(-over // capacity)))
    return best


def shop_of(sizes: Sequence[int], capacity: int) -> Row:
    """Return the packing as a shop with the mechanic-days that first fit decreasing needs."""
    days = -(-first_fit_decreasing(sizes, capacity) // MECHANICS)
    made = instance(
        days,
        yards=[plain_yard()],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 0.0, "trip_cost": 1.0}],
        mechanics=[plain_mechanic(f"w{n}", [float(capacity)] * days) for n in range(MECHANICS)],
        machines=[plain_machine(f"m{n}", days, site="ranch") for n in range(len(sizes))],
        tasks=[
            plain_task(f"t{n}", f"m{n}", float(size), 0.0, limit_day=days - 1)
            for n, size in enumerate(sizes)
        ],
    )
    return made | {"weights": free_weights()}


def line(name: str, fewest: int, first_fit: int, outcome: Outcome) -> str:
    """Return an outcome as a row of the table."""
    bins = "none" if outcome.total is None else f"{outcome.total:.0f}"
    word = "best" if bins == str(fewest) else outcome.wrong[0] if outcome.wrong else "open"
    bound = "" if outcome.bound is None else f"{outcome.bound:.0f}"
    cells = (name, str(fewest), str(first_fit), bins, bound, f"{outcome.seconds:.1f}", word)
    return "| " + " | ".join(cells) + " |"


def main(arguments: Sequence[str] | None = None) -> int:
    """Pack, judge, print; return 1 if a plan breaks a rule."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seeds", type=numbers, default=[1, 2, 3])
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--most-items", type=int, default=500)
    chosen = parser.parse_args(arguments)
    say(heading(("class", "L2", "first fit decr.", "bins", "own bound", "s", "proof")))
    wrong = 0
    with tempfile.TemporaryDirectory() as folder:
        for kind, (_, counts) in CLASSES.items():
            for count in (n for n in counts if n <= chosen.most_items):
                for seed in chosen.seeds:
                    sizes, capacity = items(kind, count, seed)
                    run = Run(OURS, chosen.seconds, chosen.workers)
                    outcome = compete(shop_of(sizes, capacity), run, Path(folder))
                    fewest = fewest_bins_at_least(sizes, capacity)
                    first_fit = first_fit_decreasing(sizes, capacity)
                    say(line(f"{kind} {count}, {seed}", fewest, first_fit, outcome))
                    wrong += bool(outcome.wrong)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
