"""What a due point and its forecast say, in words.  Pure: today and units are handed in."""

from datetime import date

from fleet.quantities import show_step, show_use
from fleet.saying import distance, say_range, short_date
from scheduling.models import DuePoint, State

HORIZON = 120
"""Days beyond which no date is given, since none could be trusted."""
LIKELY = 0.5
"""Chance from which a service may already be due and the meter should be read."""
READ_THE_METER = "may already be due: read the meter"


def due_point_words(point: DuePoint, units: str, today: date) -> str:
    """Say where the due point lies: "at 1,240.0 h or on Thu 3 Dec, whichever comes first"."""
    sides = []
    if point.due_life is not None:
        sides.append(f"at {show_use(point.due_life, point.meter_kind, units)}")
    if point.due_day:
        sides.append(f"on {short_date(point.due_day, today)}")
    if len(sides) == 2:
        return f"{sides[0]} or {sides[1]}, whichever comes first"
    return sides[0] if sides else "at once"


def remaining_words(point: DuePoint, units: str) -> str:
    """Say what is left on the meter: "23 h to go", "31 h past"; nothing without a meter side."""
    if point.remaining is None:
        return ""
    step = show_step(abs(point.remaining), point.meter_kind, units)
    return f"{step} {'to go' if point.remaining >= 0 else 'past'}"


def forecast_words(point: DuePoint, today: date) -> str:
    """Say when it will most likely be due, and within which dates 8 times in 10."""
    if point.never_done and not (point.due_day or point.due_life):
        return "due at once: no record of it being done"
    if may_be_due(point, today):
        return READ_THE_METER
    if point.state in (State.DUE, State.OVERDUE):
        return f"{State(point.state).label} now"
    if point.p50 is None:
        return _beyond(point, today)
    most_likely = f"{short_date(point.p50, today)}, {distance(point.p50, today)}"
    if point.p10 is None or point.p10 == point.p50 == point.p90:
        return most_likely
    return f"{most_likely}; {say_range(point.p10, point.p90, today)}"


def _beyond(point: DuePoint, today: date) -> str:
    if point.p10 is None:
        return f"beyond {HORIZON} days"
    return f"beyond {HORIZON} days, {say_range(point.p10, None, today)}"


def may_be_due(point: DuePoint, today: date) -> bool:
    """Whether it is likely due, and neither a reading nor the calendar says so: only a look tells.

    A service whose window a reading has opened is due, whatever the chance of its due point.
    """
    if point.state == State.OVERDUE or known_to_be_due(point, today):
        return False
    opened_by_meter = (
        point.life_now is not None
        and point.opens_life is not None
        and point.life_now >= point.opens_life
    )
    opened = opened_by_meter or (point.opens_day is not None and point.opens_day <= today)
    return not opened and LIKELY <= (point.chance_due or 0) < 1


def known_to_be_due(point: DuePoint, today: date) -> bool:
    """Whether the last reading or the calendar says so itself, without any forecast."""
    on_meter = point.remaining is not None and point.remaining <= 0
    return on_meter or (point.due_day is not None and point.due_day <= today)
