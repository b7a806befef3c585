"""Machines that have stood idle so long that they must be inspected before they go out again.

Source: WAC 296-869-40010 Table 2 (elevating work platforms: a frequent inspection before return to
service after more than three months out of service),
https://app.leg.wa.gov/wac/default.aspx?cite=296-869-40010.
"""

import numpy as np

from scheduling.core.intervals.line_arrays import Bools, Days, Ints
from scheduling.core.intervals.month_arithmetic import add_months, day_of_month


def idle_too_long(last_used: Days, last_service: Days, today: Days, months: Ints) -> Bools:
    """Return where a service is due at once because the machine stood idle, shape (n,).

    The rule of WAC 296-869-40010, https://app.leg.wa.gov/wac/default.aspx?cite=296-869-40010.

    last_used: the last day on which the machine was in service, NaT if it never was (then the rule
    for services never done holds, not this one); last_service: the last day on which this service
    was done, NaT if never; today: one day or one a line; months: the longest idle time, 0 where
    the interval has no such rule.

    True from the day after ``months`` calendar months of idleness. Only a service done after that
    day ends it; one done earlier in the idle time does not, as the rule asks for an inspection
    before return. Asked on a day when the machine is used again, it finds no idleness: ask before
    it goes out, and give the result to ``DuePoints.at_once``.
    """
    months = np.asarray(months)
    limit = add_months(last_used, months, day_of_month(last_used))
    # NaT compares false: what was never served is not inspected, what was never used is not idle
    inspected = last_service > limit
    return (months > 0) & (np.asarray(today, dtype="datetime64[D]") > limit) & ~inspected
