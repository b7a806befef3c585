"""Score the forecast on small and odd fleets, beside the lifetime average.

    python -m tests.benchmarks.odd_fleets [--machines 60] [--kinds steady,alike] [--sizes 5,50]

Invented fleets of each kind (`odd_kinds`) and size, asked through the core's own door as the site
asks. Columns, days cut to 0..120:

    off        mean error of the middle day; simple: of the lifetime average
    width      mean days from the early to the late day, of ranges that can be missed on both sides
    needed     mean days between the 0.1 and 0.9 quantiles of truth less middle day, in each quarter
               of the answers by middle day: the width that these very answers show to be enough
    held       share of those ranges that held the truth
    too early  share of services that came more than a week before their early day
"""

import argparse
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import HORIZON
from scheduling.core.verification import (
    RangeForecasts,
    RangePosition,
    days_off,
    range_position,
    two_ended,
)
from tests.benchmarks.forecast_baselines import lifetime_average, point_days
from tests.benchmarks.forecast_door import Predictor
from tests.benchmarks.odd_kinds import KINDS, odd_fleet

SIZES = (5, 10, 15, 20, 50)
LATE = 7


@dataclass(frozen=True)
class Score:
    """Figures of one kind and size; days and shares."""

    services: int
    off: float
    simple: float
    width: float
    needed: float
    held: float
    too_early: float

    def __str__(self) -> str:
        """Return the figures as one line of the table."""
        return (
            f"{self.services:8}{self.off:8.1f}{self.simple:8.1f}{self.width:8.1f}{self.needed:8.1f}"
            f"{self.held:8.0%}{self.too_early:11.1%}"
        )


def score(name: str, m: int, fleets: int, first_seed: int = 0) -> Score:
    """Ask about so many fleets of m machines of a kind, and judge the answers together."""
    ours, simple, truth = [], [], []
    for seed in range(first_seed, first_seed + fleets):
        fleet = odd_fleet(name, m, seed)
        origin = fleet.tasks[0].origin
        ours.append(Predictor().predict_batch(fleet.tasks, fleet.known, origin))
        simple.append(point_days(lifetime_average, fleet.tasks, fleet.known, origin))
        truth.append(np.array([task.truth for task in fleet.tasks], dtype=float))
    return judged(np.concatenate(ours), np.concatenate(simple), np.concatenate(truth))


def judged(days: np.ndarray, simple: np.ndarray, truth: np.ndarray) -> Score:
    """Return the figures of answers; shapes (n, 3), (n,) and (n,)."""
    said = RangeForecasts(*days.T)
    inner = two_ended(said)
    held = range_position(said, truth)[inner] == RangePosition.INSIDE
    middle = np.minimum(said.middle, HORIZON)
    return Score(
        truth.size,
        float(days_off(middle, truth).mean()),
        float(days_off(simple, truth).mean()),
        float((said.high[inner] - said.low[inner]).mean()) if inner.any() else np.nan,
        needed_width(middle, truth),
        float(held.mean()) if inner.any() else np.nan,
        float((np.minimum(said.low, HORIZON) - truth > LATE).mean()),
    )


def needed_width(middle: np.ndarray, truth: np.ndarray) -> float:
    """Return the width that answers show to be enough, in days; middle, truth: shape (n,)."""
    inside = np.flatnonzero((middle > 0) & (middle < HORIZON))
    quarters = np.array_split(inside[np.argsort(middle[inside], kind="stable")], 4)
    off = [truth[part] - middle[part] for part in quarters if part.size]
    return float(np.mean([np.ptp(np.quantile(part, [0.1, 0.9])) for part in off]))


def table(kinds: Iterable[str], sizes: Iterable[int], machines: int, first_seed: int) -> None:
    """Print a line for each kind and size, of about so many machines."""
    columns = "".join(f"{c:>8}" for c in ("off", "simple", "width", "needed", "held"))
    print(f"{'':14}{'size':>5}{'services':>8}{columns}{'too early':>11}")  # noqa: T201
    sizes = tuple(sizes)
    for name in kinds:
        for m in sizes:
            print(f"{name:14}{m:5}{score(name, m, -(-machines // m), first_seed)}", flush=True)  # noqa: T201


def main() -> None:
    """Read the command line and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--machines", type=int, default=100, help="machines of each kind and size")
    parser.add_argument("--kinds", default=",".join(KINDS))
    parser.add_argument("--sizes", default=",".join(map(str, SIZES)))
    parser.add_argument("--seed", type=int, default=0, help="the first of the fleets' seeds")
    chosen = parser.parse_args()
    sizes = [int(size) for size in chosen.sizes.split(",")]
    table(chosen.kinds.split(","), sizes, chosen.machines, chosen.seed)


if __name__ == "__main__":
    main()
