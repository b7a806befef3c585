"""The figures behind a forecast, for the one sentence that people read beside a machine."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from scheduling.core.forecast.circumstances import UseCircumstances
from scheduling.core.forecast.fleet_model import FleetModel, UseOutlook
from scheduling.core.usage import Cleaned, Floats, Ints

RECENT_DAYS = 42.0
"""Days before the origin whose mean use is shown: six weeks."""

LEAST_RECENT_DAYS = 7.0
"""Shortest time between two readings from which a recent rate is shown."""

LEAST_OWN_DAYS = 14.0
"""Remembered days from which a machine's own readings carry its forecast."""


class Evidence(IntEnum):
    """What a machine's forecast rests on."""

    OWN = 0  # its own readings
    THIN = 1  # a few readings, helped by its class
    CLASS_ONLY = 2  # one reading or none of use: what its class does
    NO_READING = 3  # no reading counts: counted from the origin, at its class's rate


@dataclass(frozen=True)
class UseSummary:
    """Figures of each machine; arrays of shape (m,).

    Attributes:
        rate: expected use per usual day, in the meter's unit.
        recent_rate: use per day over the last six weeks; NaN where readings do not tell.
        hire_share: share of the last 90 days on hire; NaN where bookings are not kept.
        age: days since the last reading that counts; NaN for none.
        evidence: an `Evidence` for each machine.

    """

    rate: Floats
    recent_rate: Floats
    hire_share: Floats
    age: Floats
    evidence: Ints


def summarise(
    model: FleetModel, outlook: UseOutlook, cleaned: Cleaned, about: UseCircumstances
) -> UseSummary:
    """Return the figures behind the forecasts of m machines, arrays of shape (m,).

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        cleaned: their life lines.
        about: their groups and bookings, and the origin.

    """
    share = np.full(cleaned.n_machines, np.nan)
    if about.hires is not None and model.habits is not None:
        kept = about.hires.covered
        share[kept] = about.hires.past_share(about.origin)[kept]
    # remembered days, not calendar days: old readings alone are thin evidence too
    days = outlook.rates.days
    evidence = np.where(days >= LEAST_OWN_DAYS, Evidence.OWN, Evidence.THIN)
    evidence = np.where(days < 1, Evidence.CLASS_ONLY, evidence)
    evidence = np.where(outlook.has_reading, evidence, Evidence.NO_READING)
    return UseSummary(
        rate=outlook.rates.mean_rate,
        recent_rate=recent_rate(cleaned, about.origin - RECENT_DAYS),
        hire_share=share,
        age=about.origin - cleaned.last_day,
        evidence=evidence.astype(np.int64),
    )


def recent_rate(cleaned: Cleaned, since: float) -> Floats:
    """Return each machine's use per day from `since` to its last reading, shape (m,).

    Life at `since` is read off the line between the two readings around it; a machine first
    read later is counted from its first reading. NaN for less than a week between readings.

    Args:
        cleaned: life lines of m machines.
        since: days since 1970-01-01.

    """
    start_day = np.maximum(cleaned.first_day, since)
    used = cleaned.last_life - life_at(cleaned, start_day)
    days = cleaned.last_day - start_day
    rate = np.full(cleaned.n_machines, np.nan)
    np.divide(used, days, out=rate, where=days >= LEAST_RECENT_DAYS)
    return rate


def life_at(cleaned: Cleaned, moment: Floats) -> Floats:
    """Return each machine's life at a moment, read off its life line, shape (m,).

    NaN before its first reading, after its last one, and without readings.

    Args:
        cleaned: life lines of m machines.
        moment: one day for each machine, days since 1970-01-01, shape (m,).

    """
    machines = np.arange(cleaned.n_machines)
    inside = (moment >= cleaned.first_day) & (moment <= cleaned.last_day)
    # Points and questions sorted together: each question then stands after its earlier points.
    which = np.concatenate([cleaned.machine, machines[inside]])
    when = np.concatenate([cleaned.day, moment[inside]])
    asks = np.repeat([0, 1], [cleaned.day.size, int(inside.sum())])
    order = np.lexsort((asks, when, which))
    points_before = np.cumsum(asks[order] == 0)[asks[order] == 1]
    low = points_before - 1
    high = np.minimum(low + 1, cleaned.last[machines[inside]])
    span = cleaned.day[high] - cleaned.day[low]
    part = np.divide(
        moment[inside] - cleaned.day[low], span, out=np.zeros(low.size), where=span > 0
    )
    life = np.full(cleaned.n_machines, np.nan)
    life[inside] = cleaned.points_life[low] + part * (
        cleaned.points_life[high] - cleaned.points_life[low]
    )
    return life
