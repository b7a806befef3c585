"""The seasons that bear on a machine's coming days, in words."""

from datetime import date

import numpy as np

from fleet.saying import MONTH
from scheduling.core.forecast import HORIZON
from scheduling.facts.stated_seasons import StatedSeason, days_of_year
from scheduling.facts.yard_days import day_number
from scheduling.queries.machine_use import MachineUse


def seasons_ahead(known: MachineUse) -> list[str]:
    """Say which stated seasons touch the coming 120 days: "haying, 12 Jun to 28 Aug: 2.5 times"."""
    if not len(known.facts.machines):
        return []
    days = days_of_year(day_number(known.today), HORIZON + 1)
    meant = [
        season
        for season in known.facts.seasons
        if season.meant(known.facts.machines, np.zeros(1, dtype=np.int64))[0]
    ]
    return [_words(season) for season in meant if season.covers(days).any()]


def _words(season: StatedSeason) -> str:
    times = "no use" if season.weight == 0 else f"{season.weight:g} times the usual use"
    return f"{season.reason}, {_day(season.first)} to {_day(season.last)}: {times}"


def _day(code: int) -> str:
    day = date(2000, *divmod(code, 100))  # a leap year: 29 February may be named
    return f"{day.day} {MONTH[day.month - 1]}"
