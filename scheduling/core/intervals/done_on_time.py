"""Was each service done in time?  Every service judged by the rules as they stood before it.

For a service j of line l, done on day d at life x, the due point is that of line l after the
services of days before d.  It was in time if d lies not after the late end of the window on the
calendar, and x not after that on the meter: EN 13306:2017 calls maintenance deferred when it is
done later than that (from memory).  Done early is in time.

The first service that is known of a line is where its book begins, and is not judged: those before
it may never have been written down, so nobody can say that it was late (common practice).
"""

from dataclasses import dataclass, fields
from typing import TypeVar

import numpy as np

from scheduling.core.intervals.interval_rules import CalendarRules, MeterRules, ServicesDone
from scheduling.core.intervals.line_arrays import Bools, Days, Ints
from scheduling.core.intervals.next_due import due_points

Side = TypeVar("Side", MeterRules, CalendarRules)


@dataclass(frozen=True)
class DoneOnTime:
    """Judged services, one for each line and day; arrays (k,).

    line: index of the line; day: datetime64[D]; on_time: done by the late end of its window.
    """

    line: Ints
    day: Days
    on_time: Bools


def judge_on_time(
    meter: MeterRules, calendar: CalendarRules, services: ServicesDone, since: np.datetime64
) -> DoneOnTime:
    """Judge the services done on or after a day.

    Left out are the first of each line, and those without any due point.

    meter, calendar: rules of n lines, shape (n,); services: flat, in any order, days known.
    since: the first day judged. One entry a line and day is returned, shape (k,).
    """
    dated = np.flatnonzero(~np.isnat(services.day))
    order = dated[np.lexsort((services.day[dated], services.line[dated]))]
    line, day, life = services.line[order], services.day[order], services.life[order]
    fresh = np.ones(line.size, dtype=np.bool_)
    fresh[1:] = (line[1:] != line[:-1]) | (day[1:] != day[:-1])
    known_before = np.arange(line.size) > np.searchsorted(line, line)
    asked = np.flatnonzero(fresh & known_before & (day >= since))
    # each service becomes a line of its own, with the book as it stood that morning: one pass then
    # judges a year of services, and none is judged by what was done later
    begin = np.searchsorted(line, line[asked])
    before = _before(ServicesDone(line, day, life), begin, asked)
    points = due_points(_rows(meter, line[asked]), _rows(calendar, line[asked]), before)
    late = (day[asked] > points.closes_day) | (life[asked] > points.closes_life)
    founded = ~np.isnat(points.closes_day) | ~np.isnan(points.closes_life)
    # due at once means that nothing was known to count from, so nobody can say that it was late
    known = founded & ~points.due_at_once
    return DoneOnTime(line[asked][known], day[asked][known], ~late[known])


def _before(sorted_services: ServicesDone, begin: Ints, end: Ints) -> ServicesDone:
    """Return for each question q the services begin[q] up to end[q], as services of line q.

    begin, end: rows of the sorted services, shape (q,); end itself is left out.
    """
    many = end - begin
    question = np.repeat(np.arange(many.size), many)
    within = np.arange(question.size) - np.repeat(np.cumsum(many) - many, many)
    row = begin[question] + within
    return ServicesDone(question, sorted_services.day[row], sorted_services.life[row])


def _rows(rules: Side, lines: Ints) -> Side:
    return type(rules)(**{f.name: getattr(rules, f.name)[lines] for f in fields(rules)})
