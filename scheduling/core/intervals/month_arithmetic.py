"""Calendar arithmetic on whole arrays of days (proleptic Gregorian calendar, ISO 8601).

A month is added by keeping the day of the month that was first meant: 31 Jan, 28 Feb, 31 Mar.
RFC 5545 section 3.3.10 skips a date that does not exist; a service must not be skipped, so here
it moves to the last day of its month.
"""

import numpy as np

from scheduling.core.intervals.line_arrays import Days, Ints


def add_months(day: Days, months: Ints, original_day: Ints) -> Days:
    """Return the days that lie ``months`` later, aiming at day ``original_day`` of the month.

    Where the month is too short its last day is met; RFC 5545 section 3.3.10 would skip it.

    day: datetime64[D], shape (n,); months: int, shape (n,), may be 0 or negative; original_day:
    int, shape (n,), 1 to 31, cut to the length of the month that is met. NaT stays NaT.
    """
    month = day.astype("datetime64[M]") + np.asarray(months)
    first: Days = month.astype("datetime64[D]")
    last = end_of_month(first)
    aim = first + (np.asarray(original_day) - 1).astype("timedelta64[D]")
    return np.where(aim > last, last, aim)


def day_of_month(day: Days) -> Ints:
    """Return the day of the month, 1 to 31, of each day, shape (n,); 1 for NaT."""
    first: Days = day.astype("datetime64[M]").astype("datetime64[D]")
    return np.where(np.isnat(day), 1, (day - first).astype(np.int64) + 1)


def end_of_month(day: Days) -> Days:
    """Return the last day of the month in which each day lies, shape (n,); NaT stays NaT.

    Some rules run to it: https://www.ecfr.gov/current/title-14/section-91.409, paragraph (a)(1).
    """
    next_first: Days = (day.astype("datetime64[M]") + 1).astype("datetime64[D]")
    return next_first - np.timedelta64(1, "D")


def months_between(early: Days, late: Days) -> Ints:
    """Return how many month names lie between two days, shape (n,), whatever the day of the month.

    31 Jan to 1 Feb is 1. Where either is NaT the answer is 0.
    """
    difference = late.astype("datetime64[M]") - early.astype("datetime64[M]")
    return np.where(np.isnat(difference), 0, difference.astype(np.int64))


def date_in_year(year: Days, month: Ints, day: Ints) -> Days:
    """Return month/day of each year: datetime64[Y], int 1-12, int 1-31, all of shape (n,).

    29 February is met as 28 February in years that have none (RFC 5545 would skip those years).
    """
    january = year.astype("datetime64[D]")
    return add_months(january, month - 1, day)
