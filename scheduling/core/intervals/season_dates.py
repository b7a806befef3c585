"""Services that are due by a date in each year, such as 15 November.

The dates are a fixed grid that no service moves. A service is taken for the date that it lies
nearest to (common practice: antifreeze filled in January is late for last November, not early for
the next), or for the date in whose window it fell if the window is wider than that.
"""

import numpy as np

from scheduling.core.intervals.interval_rules import CalendarRules
from scheduling.core.intervals.line_arrays import Days
from scheduling.core.intervals.month_arithmetic import date_in_year

REACH = 182
"""Days before its date from which a service counts for it: half a year."""


def season_on_or_after(day: Days, rules: CalendarRules) -> Days:
    """Return the first season date on or after each day, shape (n,); NaT where there is none."""
    year = day.astype("datetime64[Y]")
    this_year = date_in_year(year, rules.season_month, rules.season_day)
    next_year = date_in_year(year + 1, rules.season_month, rules.season_day)
    date = np.where(this_year >= day, this_year, next_year)
    return np.where((rules.season_month > 0) & ~np.isnat(day), date, np.datetime64("NaT", "D"))


def season_due(last_service: Days, rules: CalendarRules) -> Days:
    """Return the season date next due, shape (n,).

    last_service: the day of the last service, NaT where there was none; then the first season date
    on or after the machine's start is due, NaT if that is unknown too.
    """
    coming = season_on_or_after(last_service, rules)
    # a window wider than half a year is the owner's word that so early still counts
    reach = np.maximum(rules.early, REACH).astype("timedelta64[D]")
    following = season_on_or_after(coming + np.timedelta64(1, "D"), rules)
    after_service = np.where(last_service >= coming - reach, following, coming)
    first = season_on_or_after(rules.start, rules)
    return np.where(np.isnat(last_service), first, after_service)
