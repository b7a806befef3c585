"""One reading judged against the clock and the meter's history.

The idea: a reading must fit between its neighbours in time, forwards and no faster than the
meter can run.  One that does not, or that is far above the machine's own use, is tried again
with its decimal point one place over and in the other unit; what then fits is offered.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import isfinite

from fleet.models.makeups import MeterKind
from fleet.quantities import KILOMETRE, MILE, MINUTE
from fleet.validation.meter_history import DAY, MeterHistory, Seen
from fleet.validation.meter_limits import AHEAD, DAY_LEEWAY, LEEWAY, LIMITS, MeterLimits
from fleet.validation.reasons import ReadingReason

UNUSUAL = 4.0
"""A step of so many times the machine's own busiest day is looked at twice (common practice)."""
USUAL = 2.0
"""What may have been meant must not be more than so many times that day."""
A_DAYS_SECONDS = 86_400
ROUNDING = 1e-6
"""What floating point may add to a difference of two readings."""
ROLLS_NEAR = 0.9
"""Share of a round number from which on a meter may be about to roll over."""


@dataclass(frozen=True, slots=True)
class ShownReading:
    """What a meter is said to have shown; `day`: first and last moment, if no time is known."""

    value: float
    at: datetime
    day: tuple[datetime, datetime] | None = None

    @property
    def span(self) -> tuple[datetime, datetime]:
        """The moments at which it may have been read."""
        return self.day or (self.at, self.at)

    @property
    def leeway(self) -> timedelta:
        """How far its time may be off."""
        return DAY_LEEWAY if self.day else LEEWAY


@dataclass(frozen=True, slots=True)
class Face:
    """How a meter is read: its kind, its unit in stored units, where it starts again at 0."""

    kind: MeterKind
    unit: float = 1.0
    rolls_over_at: float | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """What is odd about a reading, against which neighbour, and what may have been meant."""

    reason: ReadingReason
    near: Seen | None = None
    meant: float | None = None
    rolls_over_at: float | None = None


FINE = Fault(ReadingReason.FINE)


def judge(shown: ShownReading, face: Face, history: MeterHistory, now: datetime) -> Fault:
    """Judge one reading of one meter; the same for a typed and an imported one."""
    if not isfinite(shown.value) or shown.value < 0:
        return Fault(ReadingReason.NOT_A_NUMBER)
    if shown.span[0] > now + AHEAD:
        return Fault(ReadingReason.FUTURE)
    if history.knows(shown.value, *shown.span):
        return Fault(ReadingReason.DUPLICATE)
    if same := history.between(shown.at, shown.at):
        return Fault(ReadingReason.SAME_TIME, same[-1])
    return _odd(shown, face, history)


def plainly_fine(
    value: float,
    span: tuple[datetime, datetime],
    leeway: timedelta,
    kind: MeterKind,
    history: MeterHistory,
) -> bool:
    """Say at a glance that a reading fits; where this says no, `judge` decides.

    It is later than all that is known of the meter, not lower, and no more than a long day's use
    every day: then nothing of what `judge` asks can be wrong with it.  Most rows of a file are so.
    """
    if not history.seen or history.corrected:
        return False
    last = history.seen[-1]
    if last.at >= span[0]:
        return False
    limits = LIMITS[kind]
    elapsed = span[0] - last.at
    step = value - last.value
    if not 0 <= step <= limits.busy_day * (1.0 + elapsed / DAY):
        return False
    return surely_fits(step, elapsed, limits) or step <= limits.most(elapsed + leeway)


def surely_fits(step: float, elapsed: timedelta, limits: MeterLimits) -> bool:
    """Say at a glance that a meter can have moved so far in a time; False leaves it open.

    Spread evenly over its day a meter's pace never comes to more than `MeterLimits.most` grants,
    and this takes a fifth of the time; what is granted for the time being off is on top of it.
    """
    return 0 <= step <= limits.pace * limits.hours * elapsed.total_seconds() / A_DAYS_SECONDS


def step_fault(earlier: Seen, later: Seen, limits: MeterLimits, leeway: timedelta) -> ReadingReason:
    """Say whether a meter can have gone from one reading to a later one."""
    step = later.value - earlier.value
    if step < -limits.dip - ROUNDING:
        return ReadingReason.BACKWARDS
    if step > limits.most(later.at - earlier.at + leeway):
        return (
            ReadingReason.TOO_MUCH
            if limits.hours == 24 and limits.pace == 1
            else ReadingReason.OUTRAN
        )
    return ReadingReason.FINE


def _odd(shown: ShownReading, face: Face, history: MeterHistory) -> Fault:
    limits = LIMITS[face.kind]
    fault = _against_neighbours(shown, limits, history)
    if fault.reason is ReadingReason.FINE and not _far_above_its_own(shown, limits, history):
        return FINE
    for reason, meant in _other_ways_to_read(shown.value, face):
        if _would_fit(ShownReading(meant, shown.at, shown.day), limits, history):
            near = fault.near or history.before(shown.at)
            return Fault(reason, near, meant)
    if fault.reason is ReadingReason.BACKWARDS and fault.near and fault.near.at <= shown.at:
        return Fault(fault.reason, fault.near, rolls_over_at=_rolled_at(shown, face, fault.near))
    return fault


def _against_neighbours(shown: ShownReading, limits: MeterLimits, history: MeterHistory) -> Fault:
    here = Seen(shown.at, shown.value)
    before, after = history.before(shown.at), history.after(shown.at)
    for near, pair in ((before, (before, here)), (after, (here, after))):
        if pair[0] and pair[1]:
            reason = step_fault(pair[0], pair[1], limits, shown.leeway)
            if reason is not ReadingReason.FINE:
                return Fault(reason, near)
    return FINE


def _far_above_its_own(shown: ShownReading, limits: MeterLimits, history: MeterHistory) -> bool:
    before = history.before(shown.at)
    if before is None:
        return False
    days = _days(before, shown)
    # A machine that stood idle may be hired out hard: a long day's use every day is never odd.
    if shown.value <= before.value + limits.busy_day * days + limits.busy_day:
        return False
    a_day = max(UNUSUAL * (history.busiest_day(shown.at) or 0.0), limits.busy_day)
    return shown.value > before.value + a_day * days + limits.busy_day


def _would_fit(shown: ShownReading, limits: MeterLimits, history: MeterHistory) -> bool:
    before = history.before(shown.at)
    if (
        before is None
        or _against_neighbours(shown, limits, history).reason is not ReadingReason.FINE
    ):
        return False
    a_day = USUAL * (history.busiest_day(shown.at) or limits.busy_day / USUAL)
    reach = before.value + a_day * _days(before, shown) + limits.busy_day
    return before.value <= shown.value <= reach


def _days(before: Seen, shown: ShownReading) -> float:
    return (shown.at - before.at + shown.leeway) / DAY


def _other_ways_to_read(value: float, face: Face) -> list[tuple[ReadingReason, float]]:
    """Return what may have been meant: the point one place over, then the other units."""
    ways = [(ReadingReason.SLIPPED_POINT, value / 10), (ReadingReason.SLIPPED_POINT, value * 10)]
    if face.kind == MeterKind.HOURS:
        ways.append((ReadingReason.WRONG_UNIT, value * MINUTE))
    if face.kind == MeterKind.DISTANCE:
        other = KILOMETRE if face.unit == MILE else MILE
        ways.append((ReadingReason.WRONG_UNIT, value / face.unit * other))
    return ways


def _rolled_at(shown: ShownReading, face: Face, before: Seen) -> float | None:
    """Return the value at which the meter can have started again at 0, if it can."""
    top = face.rolls_over_at or _round_number_above(before.value / face.unit) * face.unit
    near_top = before.value >= ROLLS_NEAR * top
    step = top - before.value + shown.value
    fits = 0 <= step <= LIMITS[face.kind].most(shown.at - before.at + shown.leeway)
    return top if fits and (near_top or face.rolls_over_at) else None


def _round_number_above(value: float) -> float:
    """Return the first of 100, 1,000, 10,000 ... above a value."""
    top = 100.0
    while top <= value:
        top *= 10
    return top
