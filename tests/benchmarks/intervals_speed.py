"""Time of due points for 100,000 lines with 10 services each, beside a bare sort of the same rows.

Run: python -m tests.benchmarks.intervals_speed
"""

import sys
from collections.abc import Callable
from time import perf_counter

import numpy as np

from scheduling.core.intervals import (
    AnchorRule,
    CalendarRules,
    MeterRules,
    ServicesDone,
    due_points,
)

LINES = 100_000
SERVICES_EACH = 10


def made_up_book(rng: np.random.Generator) -> ServicesDone:
    line = np.repeat(np.arange(LINES), SERVICES_EACH)
    shape = (LINES, SERVICES_EACH)
    life = np.cumsum(rng.uniform(200, 300, shape), axis=1).ravel()
    day = np.datetime64("2015-01-31") + np.cumsum(rng.integers(300, 420, shape), axis=1).ravel()
    shuffled = rng.permutation(len(line))
    return ServicesDone(line[shuffled], day[shuffled], life[shuffled])


def best_of(times: int, work: Callable[[], object]) -> float:
    seconds = []
    for _ in range(times):
        begun = perf_counter()
        work()
        seconds.append(perf_counter() - begun)
    return min(seconds)


def main() -> None:
    rng = np.random.default_rng(1)
    shuffled = made_up_book(rng)
    order = np.lexsort((shuffled.day, shuffled.line))
    book = ServicesDone(shuffled.line[order], shuffled.day[order], shuffled.life[order])
    anchor = rng.integers(0, len(AnchorRule), LINES)
    meter = MeterRules(np.full(LINES, 250.0), early=25, late=25, start=0, anchor=anchor)
    calendar = CalendarRules(
        np.full(LINES, 12), early=36, late=36, start=np.datetime64("2015-01-31"), anchor=anchor
    )
    sort = best_of(3, lambda: np.lexsort((shuffled.day, shuffled.line)))
    rows = {
        "book in order": best_of(3, lambda: due_points(meter, calendar, book)),
        "book in any order": best_of(3, lambda: due_points(meter, calendar, shuffled)),
    }
    for name, seconds in rows.items():
        sys.stdout.write(f"{name}: {seconds:.2f} s, {seconds / sort:.1f} times a bare sort\n")


if __name__ == "__main__":
    main()
