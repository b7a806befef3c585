"""Hold the twelve weeks that a manager is shown against what really came.

    python -m tests.benchmarks.weeks_truth [--meter cycles] [--shop 40]

The machines of the forecast's benchmark, on its twelve days, are put into shops of so many at
random. Each has one service of an hour; how often it comes in the 84 days after is simulated as the
site does, from the forecasts of that day, and counted in what the machine did afterwards. Columns,
hours of a shop:

    said    expected in twelve weeks
    came    services that fell due
    off     mean error of twelve weeks' sum, share of what came; even: of the lifetime average's
    week    the same of single weeks
    passed  share of weeks with more than the figure that nine in ten do not pass
"""

import argparse
from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import RepeatingWork, work_to_come
from tests.benchmarks.forecast_benchmark import protocol_of
from tests.benchmarks.forecast_door import Predictor
from tests.benchmarks.forecast_protocol import Protocol, Task

WEEKS = 12
DAYS = 7 * WEEKS


@dataclass(frozen=True)
class Told:
    """Hours of s shops: said, not passed in nine of ten, evenly spread, came; shape (s, WEEKS)."""

    said: np.ndarray
    ninth: np.ndarray
    even: np.ndarray
    came: np.ndarray

    def off(self, said: np.ndarray) -> float:
        """Return the mean error of what was said, in sums or weeks, as a share of what came."""
        weekly = said.ndim == 2
        came = self.came if weekly else self.came.sum(axis=1)
        return float(np.abs(said - came).sum() / came.sum())

    @property
    def passed(self) -> float:
        """Return the share of weeks that brought more than nine in ten should."""
        return float((self.came > self.ninth + 1e-9).mean())

    def __str__(self) -> str:
        """Return the figures as one line of the table."""
        total = self.said.sum(axis=1)
        return (
            f"{len(total):6}{total.mean():8.1f}{self.came.sum(axis=1).mean():8.1f}"
            f"{self.off(total):8.0%}{self.off(self.even.sum(axis=1)):8.0%}"
            f"{self.off(self.said):8.0%}{self.off(self.even):8.0%}{self.passed:8.0%}"
        )


def told(protocol: Protocol, origins: list[int], shop: int, most: int = 300) -> Told:
    """Ask on each origin about so many machines, in shops of a size."""
    rows: list[list[np.ndarray]] = []
    for day in origins:
        tasks, fleet = protocol.ask(day, most, with_bookings=False)
        place = {name: i for i, name in enumerate(protocol.fleet.names)}
        at = np.array([place[task.machine] for task in tasks])
        rate = protocol.group_rates(day)
        every = np.array([protocol.interval(i, rate[i]) for i in at])
        range_, pace = _said(tasks, fleet)
        came = np.array(
            [np.bincount(_weeks(protocol, i, day, task), minlength=WEEKS)
             for i, task in zip(at, tasks, strict=True)]
        )  # fmt: skip
        own = protocol.life[at, day] / day  # the lifetime average, without a doubt about anything
        for part in np.array_split(np.arange(len(tasks)), max(1, len(tasks) // shop)):
            coming = _coming(range_[part], every[part] / pace[part])
            rows.append(
                [coming.together, coming.together_ninth,
                 np.full(WEEKS, (own[part] / every[part]).sum() * 7), came[part].sum(axis=0)]
            )  # fmt: skip
    return Told(*(np.array(column) for column in zip(*rows, strict=True)))


def _weeks(protocol: Protocol, i: int, day: int, task: Task) -> np.ndarray:
    return protocol.times_due(i, day, task, DAYS) // 7


def _said(tasks: list[Task], fleet: dict) -> tuple[np.ndarray, np.ndarray]:
    """Return the range of each first time, (n, 3), and the use per day, (n,)."""
    ours, origin = Predictor(), tasks[0].origin
    return ours.predict_batch(tasks, fleet, origin), ours.rates(tasks, fleet, origin)


def _coming(range_: np.ndarray, every: np.ndarray):
    count = len(every)
    work = RepeatingWork(
        *range_.T, every, np.ones(count), np.zeros(count, dtype=np.int64), [[]] * count
    )
    return work_to_come(work, 1, WEEKS)


def main() -> None:
    """Read the command line and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--meter", choices=("hours", "cycles"), default="hours")
    parser.add_argument("--shop", type=int, default=40, help="machines of a shop")
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    protocol = protocol_of(chosen.meter, chosen.seed)
    names = ("said", "came", "off", "even", "week", "even", "passed")
    print(f"{'shops':>6}" + "".join(f"{name:>8}" for name in names))  # noqa: T201
    print(told(protocol, protocol.origins, chosen.shop))  # noqa: T201


if __name__ == "__main__":
    main()
