"""Score the forecast and simple baselines on open usage data.

    python -m tests.benchmarks.forecast_benchmark [--meter cycles] [--bookings] [--plot FILE.svg]

Data: `forecast_data`; readings and questions: `forecast_protocol`; figures: `forecast_score`.
"""

import argparse
import time
from pathlib import Path

import numpy as np

from tests.benchmarks.forecast_baselines import BASELINES, point_days
from tests.benchmarks.forecast_data import daily_use
from tests.benchmarks.forecast_door import Predictor
from tests.benchmarks.forecast_plot import calibration, draw
from tests.benchmarks.forecast_protocol import CAP, Machine, Protocol, Task
from tests.benchmarks.forecast_score import Answers, figures, slices, whole_days, with_interval

LEVELS = np.round(np.arange(0.05, 1.0, 0.05), 2)
COLUMNS = ("mae", "median_error", "bias", "pinball", "cover80_inner", "late7", "late7_q10")

Asked = list[tuple[list[Task], dict[str, Machine]]]


def options() -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--meter", choices=("hours", "cycles"), default="hours")
    parser.add_argument("--bookings", action="store_true", help="give the forecast the bookings")
    parser.add_argument("--per-origin", type=int, default=300, help="questions on each day")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--plot", type=Path, help="write the calibration plot to this SVG file")
    return parser.parse_args()


def answers_of(days: np.ndarray, asked: Asked) -> Answers:
    """Put days beside the truth of the questions."""
    tasks = [task for part, _ in asked for task in part]
    return Answers(
        days,
        np.array([task.truth for task in tasks]),
        np.array([len(task.readings) for task in tasks]),
        np.array([task.nominal for task in tasks]),
    )


def our_range(asked: Asked) -> np.ndarray:
    """Return the early, middle and late day that people would be shown, shape (n, 3)."""
    return np.concatenate(
        [Predictor().predict_batch(part, fleet, part[0].origin) for part, fleet in asked]
    )


def our_days(asked: Asked) -> np.ndarray:
    """Return our quantile days at all LEVELS, shape (n, levels)."""
    levels = tuple(float(q) for q in LEVELS)
    return np.concatenate(
        [Predictor().quantile_days(part, fleet, part[0].origin, levels) for part, fleet in asked]
    )


def baseline_days(name: str, asked: Asked) -> np.ndarray:
    """Return a baseline's three quantile days, shape (n, 3)."""
    points = [point_days(BASELINES[name], part, fleet, part[0].origin) for part, fleet in asked]
    truth = np.array([task.truth for part, _ in asked for task in part], dtype=float)
    return with_interval(np.concatenate(points), truth)


def simple_answers(asked: Asked) -> dict[str, Answers]:
    """Return the answers of each baseline."""
    return {name: answers_of(baseline_days(name, asked), asked) for name in BASELINES}


def gain(ours: Answers, simple: dict[str, Answers], column: str) -> tuple[float, float]:
    """Return by what share of it a figure lies below the best baseline's, and that figure."""
    best = min(figures(answers)[column] for answers in simple.values())
    return 1 - figures(ours)[column] / best, best


def protocol_of(meter: str, seed: int = 1) -> Protocol:
    """Return who asks about a meter, "hours" or "cycles", which is read in its own steps."""
    return Protocol(daily_use(meter), 0.1 if meter == "hours" else 1.0, seed)


def row(name: str, answers: Answers) -> str:
    """Return a line of the table."""
    found = figures(answers)
    return f"{name:22}{answers.truth.size:7}" + "".join(f"{found[c]:15.3f}" for c in COLUMNS)


def main() -> None:
    """Ask, answer, print, draw."""
    chosen = options()
    protocol = protocol_of(chosen.meter, chosen.seed)
    asked = [protocol.ask(day, chosen.per_origin, chosen.bookings) for day in protocol.origins]
    print(f"{'':22}{'tasks':>7}" + "".join(f"{c:>15}" for c in COLUMNS))  # noqa: T201
    simple = simple_answers(asked)
    for name, answers in simple.items():
        print(row(name, answers))  # noqa: T201
    start = time.perf_counter()
    days = our_range(asked)
    spent = time.perf_counter() - start
    ours = answers_of(days, asked)
    for name, part in slices(ours).items():
        print(row(f"Evener, {name}", part))  # noqa: T201
    for column in ("pinball", "mae"):
        share, best = gain(ours, simple, column)
        print(f"{column}: {share:.1%} below the best baseline ({best:.3f})")  # noqa: T201
    print(f"{spent:.1f} s for {len(asked)} fleets, the law of use fitted to each")  # noqa: T201
    if chosen.plot:
        every = whole_days(our_days(asked))
        draw(chosen.plot, LEVELS, calibration(every, ours.truth, LEVELS, CAP))


if __name__ == "__main__":
    main()
