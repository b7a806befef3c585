"""Time and memory of cleaning and forecasting, one core.

    OMP_NUM_THREADS=1 python -m tests.benchmarks.forecast_speed [MACHINES ...]

Each machine has 30 readings (1.5 % of them wrong) and one service; three quantiles are asked for.
"""

import argparse
import resource
import time

import numpy as np

from scheduling.core.forecast import (
    DueTasks,
    FleetModel,
    UseCircumstances,
    fit_fleet,
    forecast_due,
    look_ahead,
    tune_law,
)
from scheduling.core.usage import Readings, Swaps, clean

READINGS, GROUPS, ORIGIN = 30, 12, 400.0


def made_up(machines: int) -> Readings:
    """Return readings of machines from idle to busy, the last of them some days ago."""
    rng = np.random.default_rng(1)
    rate = 3 * np.exp(rng.normal(0, 0.8, machines))[:, None]
    gap = rng.exponential(10, (machines, READINGS))
    day = np.cumsum(gap, axis=1)
    day += ORIGIN - day[:, -1:] - rng.exponential(6, (machines, 1))
    value = np.floor(np.cumsum(rng.gamma(gap * 0.3, rate / 0.3), axis=1) * 10) / 10
    value = np.where(rng.random(value.shape) < 0.015, value * 10, value)
    return Readings(np.repeat(np.arange(machines), READINGS), day.ravel(), value.ravel())


def one_again(model: FleetModel, readings: Readings) -> float:
    """Return the seconds that one machine takes from readings to days, the fleet kept."""
    own = readings.machine == 0
    first = Readings(readings.machine[own], readings.day[own], readings.value[own])
    start = time.perf_counter()
    for _ in range(20):
        cleaned = clean(first, Swaps.none(), 1, model.ceiling)
        about = UseCircumstances(np.zeros(1, dtype=np.int64), ORIGIN)
        outlook = look_ahead(model, cleaned, about)
        forecast_due(model, outlook, DueTasks(np.zeros(1, dtype=np.int64), np.array([50.0])))
    return (time.perf_counter() - start) / 20


def measure(machines: int) -> str:
    """Return a line of timings for a fleet of this size."""
    readings = made_up(machines)
    about = UseCircumstances(np.arange(machines) % GROUPS, ORIGIN)
    remaining = np.random.default_rng(3).uniform(5, 300, machines)
    marks = [time.perf_counter()]
    cleaned = clean(readings, Swaps.none(), machines)
    marks.append(time.perf_counter())
    law = tune_law(cleaned, about)
    marks.append(time.perf_counter())
    model = fit_fleet(cleaned, about, law)
    outlook = look_ahead(model, cleaned, about)
    forecast_due(model, outlook, DueTasks(np.arange(machines), remaining))
    marks.append(time.perf_counter())
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    spent = "".join(f"{seconds:10.2f}" for seconds in np.diff(marks))
    return f"{machines:9}{spent}{one_again(model, readings) * 1000:12.1f}{memory:10.0f}"


def main() -> None:
    """Measure the sizes asked for."""
    parser = argparse.ArgumentParser(description="Time cleaning and forecasting.")
    parser.add_argument("machines", nargs="*", type=int, default=[1000, 10_000, 100_000])
    head = f"{'machines':>9}{'clean s':>10}{'law s':>10}{'days s':>10}{'one, ms':>12}{'MB':>10}"
    print(head)  # noqa: T201
    for machines in parser.parse_args().machines:
        print(measure(machines), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
