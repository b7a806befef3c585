"""The next due point of every line, from its rules and its services.

Each side is worked out alone: the meter side over the services whose life is known, the calendar
side over those whose day is known, seasons by the last of them (TM 1-1500-328-23: in a dual rule
each side keeps or restarts its own count). Whichever side comes first is due; as that depends on
how the machine is used, both are given.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from scheduling.core.intervals.fold import fold, window
from scheduling.core.intervals.interval_rules import CalendarRules, MeterRules, ServicesDone
from scheduling.core.intervals.line_arrays import Bools, Days, Floats, Ints, Points
from scheduling.core.intervals.season_dates import season_due
from scheduling.core.intervals.services_in_order import (
    OrderedServices,
    in_order_of_day,
    in_order_of_life,
)
from scheduling.core.intervals.sides import CalendarSide, MeterSide
from scheduling.core.intervals.track import Track


@dataclass(frozen=True)
class DuePoints:
    """What is next due on each line; arrays (n,).

    due_life, opens_life, closes_life: due point and window in the meter's unit, NaN where absent.
    due_day, opens_day, closes_day: the same as datetime64[D], NaT where absent. With a season and
    an interval each is the earlier of the two.
    hard: beyond the window the machine may not go out.
    used: services counted, those of one day or one meter value once.
    never_done: no service was counted.
    start_unknown: a side has neither a service nor a known start to count from.
    due_at_once: due whatever meter and day say, because nothing is known to count from, or because
    of a finding, wear or long idleness (``at_once``).
    """

    due_life: Floats
    opens_life: Floats
    closes_life: Floats
    due_day: Days
    opens_day: Days
    closes_day: Days
    hard: Bools
    used: Ints
    never_done: Bools
    start_unknown: Bools
    due_at_once: Bools

    def at_once(self, lines: Bools) -> "DuePoints":
        """Return the same points with these lines, flags of shape (n,), due at once as well."""
        return replace(self, due_at_once=self.due_at_once | lines)

    def by_life(self, limit: Floats) -> "DuePoints":
        """Return the same points, but due at ``limit``, shape (n,), on the meter if that is first.

        NaN is no limit. Past a limit of wear there is no late allowance.
        """
        return replace(
            self,
            due_life=np.fmin(self.due_life, limit),
            opens_life=np.fmin(self.opens_life, limit),
            closes_life=np.fmin(self.closes_life, limit),
        )

    def take(self, lines: Ints) -> "DuePoints":
        """Return the points of these lines alone; lines: indices of shape (k,)."""
        return DuePoints(*(getattr(self, f.name)[lines] for f in fields(self)))


@dataclass(frozen=True)
class _SideDue:
    due: Points
    opens: Points
    closes: Points
    unfounded: Bools


def due_points(meter: MeterRules, calendar: CalendarRules, services: ServicesDone) -> DuePoints:
    """Return the due points of n lines, arrays of shape (n,).

    meter, calendar: rules of the same n lines; services: flat, in any order, shape (m,).
    A line of services outside 0 to n-1, or rules of unequal length, raise ValueError.
    """
    n = len(meter.every)
    if len(calendar.months) != n:
        raise ValueError(f"{n} lines of meter rules, but {len(calendar.months)} of calendar rules")
    by_meter = in_order_of_life(services, n, meter.anchor)
    by_day = in_order_of_day(services, n, calendar.anchor)
    # a record may lack its day or its life; the side that saw more has the better count
    used = np.maximum(by_meter.used, by_day.used)
    on_meter = _meter_due(meter, by_meter, used > 0)
    on_calendar = _calendar_due(calendar, by_day, used > 0)
    unknown = on_meter.unfounded | on_calendar.unfounded
    founded = ~np.isnan(on_meter.due) | ~np.isnat(on_calendar.due)
    return DuePoints(
        on_meter.due,
        on_meter.opens,
        on_meter.closes,
        on_calendar.due,
        on_calendar.opens,
        on_calendar.closes,
        hard=meter.hard | calendar.hard,
        used=used,
        never_done=used == 0,
        start_unknown=unknown,
        # one side left without a start is only a gap where the other side still counts; with no
        # side to count on, waiting would be a guess
        due_at_once=unknown & ((used == 0) | ~founded),
    )


def _meter_due(rules: MeterRules, entries: OrderedServices, done: Bools) -> _SideDue:
    side = MeterSide.of(rules)
    track = fold(side, entries.at, entries.first, entries.count)
    return _in_force(side, track, done)


def _calendar_due(rules: CalendarRules, entries: OrderedServices, done: Bools) -> _SideDue:
    side = CalendarSide.of(rules)
    interval = _in_force(side, fold(side, entries.at, entries.first, entries.count), done)
    # a season is a side of its own: the service that moves the months never moves its dates
    season = season_due(entries.last(), rules)
    return _SideDue(
        np.fmin(interval.due, season),
        np.fmin(interval.opens, season - rules.early.astype("timedelta64[D]")),
        np.fmin(interval.closes, season + rules.late.astype("timedelta64[D]")),
        interval.unfounded | ((rules.season_month > 0) & np.isnat(season)),
    )


def _in_force(side: MeterSide | CalendarSide, track: Track, done: Bools) -> _SideDue:
    """Take the point in force; a side that is only a first point ends with the first service."""
    ended = ~side.recurs & done
    nothing = side.start.dtype.type("NaT" if side.start.dtype.kind == "M" else "nan")
    due = np.where(ended, nothing, track.due)
    opens, closes = window(side, track)
    return _SideDue(
        due,
        np.where(ended, nothing, opens),
        np.where(ended, nothing, closes),
        side.present & ~ended & np.isnan(due),
    )
