"""A fleet model as plain lists and numbers, ready for JSON, and back."""

from typing import Any

import numpy as np

from scheduling.core.forecast.hire_days import HireHabits
from scheduling.core.forecast.seasons_to_come import SeasonsToCome
from scheduling.core.usage import BurstModel, Floats, Memory, RateModel, UseLaw


# Names are written out, not taken from the fields: a field that is renamed must not make last
# night's models unreadable.
def rates_to_dict(rates: RateModel) -> dict[str, Any]:
    """Write a rate model down: rates in units per day, arrays as lists."""
    return {
        "group_rate": rates.group_rate.tolist(),
        "fleet_rate": rates.fleet_rate,
        "group_shares": rates.group_shares.tolist(),
        "fleet_shares": rates.fleet_shares.tolist(),
        "burst_level": rates.bursts.level,
        "burst_cap": rates.bursts.cap,
        "group_bursts": rates.bursts.group.tolist(),
        "law": law_to_dict(rates.law),
    }


def rates_from_dict(kept: dict[str, Any]) -> RateModel:
    """Read a rate model that `rates_to_dict` wrote down, rates in units per day."""
    return RateModel(
        group_rate=_floats(kept["group_rate"]),
        fleet_rate=kept["fleet_rate"],
        group_shares=_floats(kept["group_shares"]),
        fleet_shares=_floats(kept["fleet_shares"]),
        bursts=BurstModel(kept["burst_level"], kept["burst_cap"], _floats(kept["group_bursts"])),
        law=law_from_dict(kept["law"]),
    )


def law_to_dict(law: UseLaw) -> dict[str, float]:
    """Write a law of use down; half_life and lump are days."""
    return {
        "half_life": law.memory.half_life,
        "fast_share": law.memory.fast_share,
        "lump": law.lump,
        "spread": law.spread,
        "change": law.change,
        "rest": law.rest,
        "trust": law.trust,
    }


def law_from_dict(kept: dict[str, float]) -> UseLaw:
    """Read a law of use that `law_to_dict` wrote down; half_life and lump are days."""
    memory = Memory(kept["half_life"], kept["fast_share"])
    numbers = (kept[name] for name in ("lump", "spread", "change", "rest", "trust"))
    return UseLaw(memory, *numbers)


def habits_to_dict(habits: HireHabits) -> dict[str, Any]:
    """Write the habits of hire down; booked has one share a day of lead."""
    return {
        "share": habits.share,
        "booked": habits.booked.tolist(),
        "yard_use": habits.yard_use,
    }


def habits_from_dict(kept: dict[str, Any]) -> HireHabits:
    """Read habits of hire that `habits_to_dict` wrote down; booked has one share a day of lead."""
    return HireHabits(kept["share"], _floats(kept["booked"]), kept["yard_use"])


def seasons_to_dict(seasons: SeasonsToCome) -> dict[str, Any]:
    """Write down what days may bring: weights by group and block of half a month."""
    return {"past": seasons.past.tolist(), "coming": seasons.coming.tolist()}


def seasons_from_dict(kept: dict[str, Any]) -> SeasonsToCome:
    """Read what days may bring, as `seasons_to_dict` wrote it down."""
    return SeasonsToCome(_floats(kept["past"]), _floats(kept["coming"]))


def _floats(values: list[Any]) -> Floats:
    return np.asarray(values, dtype=np.float64)
