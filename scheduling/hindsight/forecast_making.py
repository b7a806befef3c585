"""From due points on meters to the forecasts that are kept of them."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import DueTasks, due_range
from scheduling.core.verification import lifetime_average
from scheduling.due.line_forecasts import MIDDLE
from scheduling.due.meter_use import KindUse
from scheduling.due.use_circumstances import ORIGIN
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.yard_days import Floats, Ints
from scheduling.models import KeptForecast


@dataclass(frozen=True)
class Asked:
    """Due points on one kind of meter whose forecasts are kept; arrays (q,).

    machine: row in `Machines`; service: key; due_life: as in `fleet.models.meters`; calendar: day
    from today on which the service is due anyway, NaN for none.
    """

    machine: Ints
    service: Ints
    due_life: Floats
    calendar: Floats


def make_forecasts(facts: UseFacts, use: KindUse, asked: Asked) -> Iterator[KeptForecast]:
    """Yield what is said today of due points that lie ahead on the meter.

    Left out are those that nobody was told: where the range begins beyond 120 days, or not before
    the calendar's date; and machines that were never read, of which nothing of their own is said.
    """
    local = use.local[asked.machine]
    left = asked.due_life - use.read_life[np.maximum(local, 0)]
    ahead = np.flatnonzero((local >= 0) & (left > 0))
    local, left = local[ahead], left[ahead]
    levels = (use.levels[0], MIDDLE, use.levels[1])
    days = due_range(use.lesson.model, use.outlook, DueTasks(local, left), levels)
    simple = lifetime_average(use.cleaned, local, left, ORIGIN)
    machines = facts.machines
    shown = days[:, 0] < np.nan_to_num(asked.calendar[ahead], nan=np.inf)
    for row in np.flatnonzero(shown).tolist():
        point = ahead[row]
        machine = int(asked.machine[point])
        yield KeptForecast(
            machine_id=int(machines.ids[machine]),
            service_id=int(asked.service[point]),
            machine_class_id=int(machines.machine_class[machine]),
            kind=use.meters.kind,
            made_on=machines.day(machine),
            due_life=round(float(asked.due_life[point]), 3),
            life_then=round(float(use.read_life[local[row]]), 3),
            low_level=levels[0],
            high_level=levels[2],
            p10=whole(days[row, 0]),
            p50=whole(days[row, 1]),
            p90=whole(days[row, 2]),
            simple=whole(simple[row]),
        )


def whole(day: float) -> int | None:
    """Return a day as a whole number; None for one that is not finite."""
    return int(day) if np.isfinite(day) else None
