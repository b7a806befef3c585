"""When is each service next due? Pure functions on whole arrays.

``anchors`` says how the next due point follows from the last service, ``rules`` what is known of
each line, ``due`` works the due points out, ``states`` says what they mean on a day. ``windows``,
``season``, ``covers``, ``idle`` and ``wear`` hold one rule each. Nothing here reads a clock.
"""

from scheduling.core.intervals.anchors import Anchor
from scheduling.core.intervals.covers import covering, with_covered
from scheduling.core.intervals.dates import add_months, day_of_month, end_of_month
from scheduling.core.intervals.due import DuePoints, due_points
from scheduling.core.intervals.idle import idle_too_long
from scheduling.core.intervals.kept import kept
from scheduling.core.intervals.rules import CalendarRules, MeterRules, Services
from scheduling.core.intervals.states import (
    LOOK_AHEAD,
    DueState,
    barred,
    due_states,
    worst_states,
)
from scheduling.core.intervals.wear import Measurements, WearLimit, limit_life, limit_reached
from scheduling.core.intervals.windows import allowance, allowance_days, nominal_length

__all__ = [
    "LOOK_AHEAD",
    "Anchor",
    "CalendarRules",
    "DuePoints",
    "DueState",
    "Measurements",
    "MeterRules",
    "Services",
    "WearLimit",
    "add_months",
    "allowance",
    "allowance_days",
    "barred",
    "covering",
    "day_of_month",
    "due_points",
    "due_states",
    "end_of_month",
    "idle_too_long",
    "kept",
    "limit_life",
    "limit_reached",
    "nominal_length",
    "with_covered",
    "worst_states",
]
