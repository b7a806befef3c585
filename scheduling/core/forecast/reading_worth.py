"""Which machine to read: the reading that would narrow its forecast the most.

A forecast counts from the last reading, so a stale one is wide: nobody knows what has run since.
If the meter were read today and showed what is expected, the forecast would count from today with
that much less left. The worth of the reading is the width (0.1 to 0.9 quantile) that falls away.
What the reading would also teach about the machine's rate comes on top and is left out.
"""

from dataclasses import replace

import numpy as np

from scheduling.core.forecast.day_clock import HORIZON, DayClock
from scheduling.core.forecast.due_forecast import DueTasks, forecast_due
from scheduling.core.forecast.fleet_model import FleetModel, UseOutlook
from scheduling.core.usage import Floats


def reading_worth(model: FleetModel, outlook: UseOutlook, tasks: DueTasks) -> Floats:
    """Return the days by which a reading today would narrow each service's forecast, shape (n,).

    Days beyond the horizon count as its end; never below 0.

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        tasks: n services of these machines.

    """
    asked = tasks.checked(outlook.rates.scale.size)
    since = _until_today(outlook.clock)[asked.machine]
    # read today and as expected: what has been run by then is taken off, and the clock starts anew
    left = asked.remaining - outlook.rates.mean_rate[asked.machine] * since
    courses = tuple(_read_today(clock) for clock in outlook.courses)
    read = replace(outlook, clock=_read_today(outlook.clock), courses=courses)
    known = DueTasks(asked.machine, np.where(asked.remaining > 0, np.maximum(left, 0.0), 0.0))
    return np.maximum(_width(model, outlook, asked) - _width(model, read, known), 0.0)


def _width(model: FleetModel, outlook: UseOutlook, tasks: DueTasks) -> Floats:
    """Return the days from the 0.1 to the 0.9 quantile, shape (n,)."""
    # one day past the horizon, or a late end that comes back inside it would not count as narrower
    early, late = np.minimum(forecast_due(model, outlook, tasks, (0.1, 0.9)), HORIZON + 1.0).T
    return late - early


def _until_today(clock: DayClock) -> Floats:
    """Return the effective days from each machine's last reading to the origin, shape (m,)."""
    if clock.effective is None:
        return np.maximum(clock.age, 0.0)
    first_day = clock.effective[:, 1] - clock.effective[:, 0]
    return np.maximum(clock.effective[:, 0] - first_day, 0.0)


def _read_today(clock: DayClock) -> DayClock:
    """Return the clock of machines that are all read at the origin."""
    since = _until_today(clock)
    if clock.effective is None:
        return DayClock(clock.age - since)
    return DayClock(np.zeros_like(clock.age), clock.effective - since[:, None])
