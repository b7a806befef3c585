"""The sentences beside dates: why a service falls due then, and the one thing to know."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from fleet.models import MeterKind
from fleet.quantities import show_step, unit_of, unit_size
from fleet.saying import capital, distance, say_percent, short_date
from scheduling.models import DuePoint, State

METER_WORDS: dict[str, str] = {
    MeterKind.HOURS: "hour meter",
    MeterKind.DISTANCE: "odometer",
    MeterKind.CYCLES: "cycle counter",
}


WHOLE_FROM = 10
"""Hours, miles or cycles from which nobody says the tenths."""


def meter_word(kind: str) -> str:
    """Return what people call a kind of meter."""
    return METER_WORDS.get(kind, "meter")


@dataclass(frozen=True)
class DueWording:
    """What one line's sentences are made of; numbers are None where they are not known."""

    service: str
    state: str
    driver: str
    kind: str
    units: str
    today: date
    remaining: float | None
    past_window: float | None
    due_day: date | None
    p50: date | None
    last_done: date | None
    recent_rate: float | None
    rate: float | None
    hire_share: float | None
    own_readings: bool
    maybe_due: bool
    never_done: bool
    words: str


def say_use(value: float, kind: str, units: str) -> str:
    """Show a meter quantity as it is said beside a date: whole from ten on."""
    figure = value / unit_size(kind, units)
    if abs(round(figure, 1)) < WHOLE_FROM:
        return show_step(value, kind, units)
    return f"{figure:,.0f} {unit_of(kind, units)}"


def why(line: DueWording) -> str:
    """Say why the service falls due when it does."""
    parts = []
    if line.maybe_due:
        parts.append(f"may already be due: read the {meter_word(line.kind)}")
    parts += _cause(line)
    if line.never_done and line.driver != DuePoint.Driver.NEVER and not line.words:
        parts.append("no record of it; counted from the machine's start")
    return capital("; ".join(part for part in parts if part))[:500]


def _cause(line: DueWording) -> list[str]:
    drivers = DuePoint.Driver
    if line.driver == drivers.FINDING:
        return [f"found: {line.words}"]
    if line.driver == drivers.NEVER:
        said = line.words or "no record of it and the machine's start is not known"
        return [f"{said}: due at once"]
    if line.driver == drivers.IDLE:
        return [_idle(line)]
    if line.driver in (drivers.CALENDAR, drivers.SEASON):
        return [_calendar(line)]
    if line.driver == drivers.TREND:
        return [f"measured: {line.words}", *_meter(line)]
    return _meter(line) if line.kind else []


def _idle(line: DueWording) -> str:
    if line.state in (State.DUE, State.OVERDUE):
        return "has sat longer than allowed without this service: due before it goes back to work"
    return "falls due only if the machine sits too long"


def _calendar(line: DueWording) -> str:
    if line.due_day is None:
        return ""
    cause = "by the season" if line.driver == DuePoint.Driver.SEASON else "by the calendar"
    done = f"; last done {short_date(line.last_done, line.today)}" if line.last_done else ""
    return f"{cause}: due {short_date(line.due_day, line.today)}{done}"


def _meter(line: DueWording) -> list[str]:
    """Say the rate, what it rests on, and what is left."""
    parts = []
    if line.own_readings and line.recent_rate is not None:
        parts.append(f"{_rate(line.recent_rate, line)} a day over the last 6 weeks")
    elif line.rate is not None:
        parts.append(f"about {_rate(line.rate, line)} a day, as its class does")
    if parts and line.hire_share is not None:
        parts[0] += f", on hire {say_percent(line.hire_share)} of days"
    if line.remaining is not None:
        parts.append(_left(line.remaining, line))
    return parts


def _rate(rate: float, line: DueWording) -> str:
    return show_step(rate, line.kind, line.units)


def _left(remaining: float, line: DueWording) -> str:
    use = say_use(abs(remaining), line.kind, line.units)
    return f"{use} to go" if remaining > 0 else f"{use} past the due point"


def headline(line: DueWording) -> str:
    """Say the one thing to know of a machine whose worst or next service this is."""
    name = line.service
    if line.state == State.OVERDUE:
        return f"{name} overdue{_by(line)}"[:200]
    if line.maybe_due:
        return f"{name} may already be due: read the {meter_word(line.kind)}"[:200]
    if line.state == State.DUE:
        unsure = line.words if line.driver == DuePoint.Driver.NEVER else ""
        left = f": {unsure}" if unsure else _remaining(line)
        return f"{name} due now{left}"[:200]
    if line.p50 is not None:
        return f"{name} due {distance(line.p50, line.today)}{_remaining(line)}"[:200]
    if line.state == State.UNKNOWN:
        return f"{name}: not known when it falls due"[:200]
    return f"{name} not due within 120 days{_remaining(line)}"[:200]


def _remaining(line: DueWording) -> str:
    if line.driver != DuePoint.Driver.METER or line.remaining is None or line.remaining <= 0:
        return ""
    return f", {say_use(line.remaining, line.kind, line.units)} left"


def _by(line: DueWording) -> str:
    """Say how far past its due point it is, as all pages count it, once the window is over."""
    if line.past_window is not None and line.past_window > 0:
        late = line.remaining is not None and line.remaining < 0
        past = -line.remaining if late else line.past_window  # type: ignore[operator]
        return f" by {say_use(past, line.kind, line.units)}"
    if line.due_day is not None and line.due_day < line.today:
        return f" since {short_date(line.due_day, line.today)}"
    return ""


def optional(value: float) -> float | None:
    """Return a number, None for one that is not finite."""
    return float(value) if np.isfinite(value) else None
