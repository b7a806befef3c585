"""The door through which the forecast is scored: readings as typed in, quantile days out.

It only translates into the arrays of `scheduling.core` and back; the site calls the same functions.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

import numpy as np

from scheduling.core.forecast import (
    DueTasks,
    FleetModel,
    Hires,
    UseCircumstances,
    UseOutlook,
    due_range,
    fit_fleet,
    forecast_due,
    look_ahead,
    with_months,
)
from scheduling.core.usage import Cleaned, Readings, Swaps, clean

EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - the door's times are the yard's own, without a zone
FIRST_DAY = date(1970, 1, 1)


class Predictor:
    """Answers on which day each task's threshold is reached."""

    def predict_batch(
        self, tasks: Sequence[Any], fleet: Mapping[str, Any], origin: datetime
    ) -> np.ndarray:
        """Return days after the origin for the quantiles 0.1, 0.5, 0.9, shape (n, 3)."""
        return due_range(*_question(tasks, fleet, origin))

    def quantile_days(
        self,
        tasks: Sequence[Any],
        fleet: Mapping[str, Any],
        origin: datetime,
        quantiles: tuple[float, ...],
    ) -> np.ndarray:
        """Return days after the origin for any quantiles, shape (n, quantiles)."""
        return forecast_due(*_question(tasks, fleet, origin), quantiles)

    def rates(self, tasks: Sequence[Any], fleet: Mapping[str, Any], origin: datetime) -> np.ndarray:
        """Return the use per usual day of each task's machine, shape (n,)."""
        _, outlook, due = _question(tasks, fleet, origin)
        return outlook.rates.mean_rate[due.machine]


def _question(
    tasks: Sequence[Any], fleet: Mapping[str, Any], origin: datetime
) -> tuple[FleetModel, UseOutlook, DueTasks]:
    """Learn from the fleet, and put the tasks as the core takes them."""
    machines = list(fleet.values())
    cleaned, number = life_lines(machines)
    about = UseCircumstances(_groups(machines), day_number(origin), _hires(tasks, number))
    about = with_months(cleaned, about)
    model = fit_fleet(cleaned, about)
    asked = np.array([number[task.machine] for task in tasks], dtype=np.int64)
    threshold = np.array([task.threshold for task in tasks], dtype=np.float64)
    remaining = threshold - np.nan_to_num(cleaned.last_value)[asked]
    outlook = look_ahead(model, cleaned, about)
    return model, outlook, DueTasks(asked, remaining)


def life_lines(machines: Sequence[Any]) -> tuple[Cleaned, dict[str, int]]:
    """Clean all machines' readings; return their life lines and each machine's number."""
    number = {machine.id: i for i, machine in enumerate(machines)}
    return clean(_readings(machines), _swaps(machines), len(machines)), number


def day_number(moment: datetime) -> float:
    """Return a moment as days since 1970-01-01."""
    return (moment - EPOCH).total_seconds() / 86400


def _columns(rows: Iterable[tuple[float, ...]], width: int) -> list[np.ndarray]:
    """Turn rows into float columns, none of them lost when there are no rows."""
    table = np.array(list(rows), dtype=np.float64).reshape(-1, width)
    return list(table.T)


def _readings(machines: Sequence[Any]) -> Readings:
    """Lay all machines' readings end to end."""
    rows = ((i, day_number(t), v) for i, m in enumerate(machines) for t, v in m.readings)
    machine, day, value = _columns(rows, 3)
    return Readings(machine.astype(np.int64), day, value)


def _swaps(machines: Sequence[Any]) -> Swaps:
    """Lay all machines' recorded swaps end to end."""
    rows = ((i, day_number(t), old, new) for i, m in enumerate(machines) for t, old, new in m.swaps)
    machine, day, old, new = _columns(rows, 4)
    return Swaps(machine.astype(np.int64), day, old, new)


def _groups(machines: Sequence[Any]) -> np.ndarray:
    """Number the groups in the order of their names."""
    return np.unique([m.group for m in machines], return_inverse=True)[1].astype(np.int64)


def _hires(tasks: Sequence[Any], number: Mapping[str, int]) -> Hires | None:
    """Lay the tasks' bookings end to end; None where the question carries none."""
    with_hires = [task for task in tasks if task.bookings is not None]
    if not with_hires:
        return None
    rows = [
        (number[task.machine], (first - FIRST_DAY).days, (last - FIRST_DAY).days)
        for task in with_hires
        for first, last in task.bookings
    ]
    machine, first, last = (c.astype(np.int64) for c in _columns(rows, 3))
    covered = np.zeros(len(number), dtype=np.bool_)
    covered[[number[task.machine] for task in with_hires]] = True
    return Hires(machine, first, last, covered)
